import { beforeAll, describe, expect, it } from 'vitest';
import { field, neutralised } from '../../controller/journal/csv.ts';
import { cookCsvMetadata } from '../../controller/journal/csv-metadata.ts';
import { configFacts } from '../../controller/journal/facts-config.ts';
import { openJournal } from '../../controller/journal/journal.ts';
import { openReader } from '../../controller/journal/reader.ts';
import { cookRecordHtml } from '../../controller/journal/record/page.ts';
import type { TickRecord } from '../../shared/wire/record.ts';
import { BAGS, bagRow, COOK_ID, cookOf, cookRow, options, START_MS } from './journal-fixture.ts';
import { ownFolder } from './journal-folder.ts';

const [BAG] = BAGS;
const BROKEN = { limit: 'come-up', words: 'The core spent more than 6 h.', source: 'a rule' };
const config = (rom: string, profile: string) =>
  JSON.stringify({ kitchen: 'Refuge', profile, rig: { probes: [{ rom, role: 'bath' }] } });
const CONFIGS = [
  config('280000000000B02C', 'conservative'),
  config('280000000000B172', 'us-food-code'),
] as const;

/** A cook over two starts of the controller: another probe and profile, setpoint, edit, doubtful clock and a step of it. */
function records(): TickRecord[] {
  return cookOf(120).map((record): TickRecord => {
    const { sequence } = record.sample;
    const doubtful = (sequence >= 20 && sequence < 30) || sequence >= 115;
    const wallMs = record.sample.wallMs + (sequence >= 70 ? 90_000 : 0);
    const changed: TickRecord = {
      ...record,
      sample: { ...record.sample, wallMs },
      input: { ...record.input, wallMs, wallTrusted: !doubtful },
    };
    if (sequence === 40) return { ...changed, cook: cookRow({ setpointC: 71 }) };
    if (sequence === 45)
      return { ...changed, bags: [bagRow(BAG, { thicknessMm: 71.5, growthLog10: 0.2, broken: [] })] };
    if (sequence === 100) {
      const out = { thicknessMm: 71.5, outAtMs: START_MS + 1e5, growthLog10: 1.25, broken: [BROKEN] };
      return { ...changed, bags: [bagRow(BAG, out)] };
    }
    return changed;
  });
}

let facts: { claim: string; origin: string; value: unknown }[] = [];
let html = '';
const of = (claim: string) => facts.filter((fact) => fact.claim === claim).map(({ value }) => value);

beforeAll(async () => {
  const folder = ownFolder();
  for (const [n, configJson] of CONFIGS.entries()) {
    const journal = await openJournal(options(folder, { bootId: `boot-${n}`, configJson }));
    for (const record of records().filter(({ sample }) => sample.sequence > 60 === (n === 1)))
      journal.write(record);
    await journal.close();
  }
  const reader = await openReader(options(folder).path);
  facts = JSON.parse(await cookCsvMetadata(reader, COOK_ID, 'x.csv')).notes;
  for await (const piece of cookRecordHtml(reader, COOK_ID)) html += piece;
  await reader.close();
});

describe('what goes with the CSV, and the page to print', () => {
  it('carry the configuration as it changed, with the tick from which it held', () => {
    expect(of('probe, bath: ROM')).toEqual(['280000000000B02C']);
    expect(of('probe, bath: ROM, from tick 61')).toEqual(['280000000000B172']);
    expect(of('local profile of limits, from tick 61')[0]).not.toBe(of('local profile of limits')[0]);
    expect(facts.filter(({ claim }) => claim.endsWith(', from tick 61'))).toHaveLength(2);
    expect(html).toMatch(/Configured otherwise later[\s\S]*from tick 61[\s\S]*280000000000B172/);
  });

  it('are made all the same where a configuration on record cannot be read, which then says nothing of the others', () => {
    const [first, second] = CONFIGS;
    const runs = [first, first.slice(0, -2), second].map((configJson, n) => ({
      afterSequence: n * 60,
      configJson,
    }));
    const told = configFacts(runs, cookRow());
    expect(told.filter(({ claim }) => claim.endsWith('from tick 61'))).toEqual([
      { claim: 'configuration, from tick 61', origin: 'stated', value: first.slice(0, -2) },
    ]);
    expect(told.filter(({ claim }) => claim.endsWith('from tick 121'))).toHaveLength(2);
  });

  it('carry each setpoint and each edit of a bag with its tick', () => {
    expect(of('setpoint from tick 40, °C')).toEqual([71]);
    expect(of(`${BAG}: thickness, mm from tick 45`)).toEqual(['71.5, before it 62.5']);
    expect(of(`${BAG}: thickness, mm`)).toEqual([71.5]);
  });

  it('carry growth and each broken limit as fields of their own', () => {
    expect(of(`${BAG}: growth of C. perfringens, worst case, log10`)).toEqual([1.25]);
    expect(of(`${BAG}: limits broken`)).toEqual([1]);
    expect(of(`${BAG}: broken limit, come-up`)).toEqual(['The core spent more than 6 h. (a rule)']);
    expect(html).toMatch(/Growth of C\. perfringens, worst case[\s\S]{0,200}1\.25 log10/);
    expect(html).toMatch(/Limits broken[\s\S]{0,200}The core spent more than 6 h\./);
  });

  it('say when the wall clock was not trusted, and by how much it was set', () => {
    expect(of('ticks whose wall clock was not trusted')).toEqual([16]);
    const [first, second, ...more] = of('wall clock not trusted');
    expect(first).toMatch(/^ticks 20 to 29 \(10\), by that clock \d{4}-.*Z to \d{4}-.*Z$/);
    expect(second).toMatch(/^ticks 115 to 120 \(6\)/);
    expect(more).toEqual([]);
    expect(of('gap, clock-step')[0]).toMatch(/the wall clock was set by 90 s/);
    expect(html).toMatch(/Wall clock not trusted[\s\S]*20 to 29/);
    expect(html).toMatch(/Steps of the wall clock[\s\S]*set by 90 s/);
  });
});

describe('text in a CSV', () => {
  // OWASP, "CSV Injection": = + - @, tab, carriage return, line feed, and the full-width forms of the first four.
  it('that begins as a formula may is neutralised whatever it begins with, and can be got back', () => {
    for (const begin of ['=', '+', '-', '@', '\t', '\r', '\n', "'", '\uff1d', '\uff0b', '\uff0d', '\uff20']) {
      const text = `${begin}1+1`;
      expect(neutralised(text)).toBe(`'${text}`);
      expect(neutralised(text).slice(1)).toBe(text);
    }
    expect(field('\n=1+1')).toBe('"\'\n=1+1"');
    for (const plain of ['1+1', 'a=b', '', ' leading blank']) expect(neutralised(plain)).toBe(plain);
    expect(field(-4.5)).toBe('-4.5');
  });
});

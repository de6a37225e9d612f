import { describe, expect, it } from 'vitest';
import { openJournal } from '../../controller/journal/journal.ts';
import { openReader } from '../../controller/journal/reader.ts';
import { cookRecordHtml } from '../../controller/journal/record/page.ts';
import { verifyLog } from '../../controller/journal/verify.ts';
import { standards } from '../../shared/hazard/standards/index.ts';
import type { TickRecord } from '../../shared/wire/record.ts';
import {
  BAGS,
  bagRow,
  COOK_ID,
  cookOf,
  cookRow,
  event,
  options,
  START_MS,
  taken,
  tick,
} from './journal-fixture.ts';
import { ownFolder } from './journal-folder.ts';

const STANDARD = standards[0]!;
const CONFIG = JSON.stringify({
  kitchen: 'Refuge <kitchen>',
  profile: 'us-food-code',
  rig: { probes: [{ rom: '280000000000B02C', role: 'bath' }] },
});

async function pageOf(records: readonly TickRecord[], speed = 1) {
  const folder = ownFolder();
  const journal = await openJournal(options(folder, { speed }));
  for (const record of records) journal.write(record);
  await journal.close();
  const reader = await openReader(options(folder).path);
  let html = '';
  for await (const piece of cookRecordHtml(reader, COOK_ID)) html += piece;
  const { head } = await verifyLog(reader, COOK_ID);
  await reader.close();
  return { html, head };
}

/** The cook of the fixture with a configuration, a bag judged by a standard, an edit, a fork test, a gap and a doubtful clock. */
function records(): TickRecord[] {
  const all = cookOf(200).filter(({ sample }) => sample.sequence < 60 || sample.sequence > 90);
  const at = (sequence: number, change: (record: TickRecord) => TickRecord) => {
    const n = all.findIndex(({ sample }) => sample.sequence === sequence);
    all[n] = change(all[n]!);
  };
  at(1, (record) => ({ ...record, cook: cookRow({ configJson: CONFIG }) }));
  at(200, (record) => ({
    ...record,
    cook: cookRow({ configJson: CONFIG, firmware: '1.4.2', stage: 'taken-out', endedAtMs: START_MS }),
  }));
  at(30, () => {
    const bag = bagRow(BAGS[1], {
      standardId: STANDARD.id,
      thicknessMm: 71.5,
      lethalityMetAtMs: START_MS + 9e6,
      lot: 'L-204 <b>',
      supplier: 'Upper Alp farm',
      cure: 'salt 1.5 %, 24 h',
    });
    const decide = {
      kind: 'decide-outage',
      id: 'd1',
      by: 'Hut phone',
      bagId: BAGS[1],
      choice: 'go-on',
    } as const;
    const decided = taken({ ...decide, name: 'Ada', note: '' });
    const powerCut = {
      length: { countsS: 5400, lowS: 5000, highS: 6000, clockS: 5400 },
      water: { beforeC: 66.1, afterC: 61.8 },
      bags: [{ bagId: BAGS[1], growth: [0.1, 0.35], broken: ['Warm for too long.'] }],
    };
    const events = [
      { ...event(30, COOK_ID, 'power-cut'), data: powerCut },
      {
        ...event(30, COOK_ID, 'outage-decided'),
        data: { bagId: BAGS[1], choice: 'go-on', name: 'Ada', by: 'Hut phone', note: '' },
      },
    ];
    const fork = { kind: 'fork-test', id: 'f1', by: 'Ana <b>', bagId: BAGS[1], answer: 'nearly' } as const;
    return tick(30, { bagIds: BAGS, bags: [bag], commands: [taken(fork), decided], events });
  });
  at(40, (record) => ({ ...record, input: { ...record.input, wallTrusted: false } }));
  return all;
}

describe('the record of a cook as a page', () => {
  it('carries who, what, weights, thickness, probes, profile, code, standard and edition, fork tests, edits and the head of the chain', async () => {
    const { html, head } = await pageOf(records());
    expect(head).toMatch(/^[0-9a-f]{64}$/);
    for (const said of [
      'Refuge &lt;kitchen&gt;',
      'Ana &lt;b&gt;',
      '1.9 kg',
      '71.5 mm filled bag',
      '280000000000B02C',
      '0.1.0+test',
      'nearly',
      'lot L-204 &lt;b&gt;, from Upper Alp farm',
      'salt 1.5 %, 24 h',
      '1.4.2',
      'Ada, Hut phone',
      '<td>1 h 30 min</td><td>1 h 23 min to 1 h 40 min</td>',
      '66.1 °C to 61.8 °C',
      '0.25 log10',
      '<td>go-on</td><td>Ada</td><td>Hut phone</td>',
      'thicknessMm: 62.5 to 71.5',
      '31 ticks are not in the log',
      'NOT trusted in 1 of 169 ticks',
      '66.1 °C, expected 67 to 69 °C',
      `<code>${head}</code>`,
    ]) {
      expect(html).toContain(said);
    }
    expect(html.replaceAll('&#39;', "'")).toContain(`${STANDARD.name}, ${STANDARD.edition}`);
    expect(html).not.toContain('<b>');
  });

  it('says of every fact whether it is measured, modelled, stated or noted', async () => {
    const { html } = await pageOf(records());
    const rows = [...html.matchAll(/<table class="facts"><tbody>([\s\S]*?)<\/tbody>/g)].flatMap(([, body]) =>
      [...(body ?? '').matchAll(/<tr>([\s\S]*?)<\/tr>/g)].map(([, row]) => row ?? ''),
    );
    expect(rows.length).toBeGreaterThan(30);
    for (const row of rows.filter((one) => !/Signed|Date/.test(one))) {
      expect(row).toMatch(/<span class="(measured|modelled|stated|noted)">\1<\/span><\/td>$/);
    }
    const claim = (name: string) => rows.find((row) => row.includes(`>${name}<`)) ?? '';
    expect(claim('Core at the end')).toContain('modelled');
    expect(claim('Lowest, mean, highest')).toContain('measured');
  });

  it('says in front that a simulation is one', async () => {
    expect((await pageOf(cookOf(30), 60)).html).toContain('Time ran 60 times faster');
    expect((await pageOf(cookOf(30))).html).not.toContain('Simulation.');
  });
});

import { describe, expect, test } from 'vitest';
import { emptyDraft, specOf, usualOf } from '../../monitor/src/food/bag-draft.ts';
import { clockText } from '../../monitor/src/words/clock.ts';
import { forecastWords, oddsText } from '../../monitor/src/words/forecast.ts';
import { heatWords } from '../../monitor/src/words/heat.ts';
import { lethalityWords } from '../../monitor/src/words/lethality.ts';
import {
  comeUpWords,
  creditText,
  flagText,
  growthWords,
  safetyWords,
  statusWord,
  verdictText,
} from '../../monitor/src/words/safety.ts';
import { summaryOf } from '../../monitor/src/words/summary.ts';
import { localText } from '../../monitor/src/words/temperature.ts';
import { cutById } from '../../shared/food/cuts.ts';
import { breachVerdict, DEFER } from '../../shared/hazard/verdict.ts';
import type { LethalityView, Status, TenderView, VerdictView } from '../../shared/wire/status.ts';
import { FakeHut } from '../browser/fake-hut.ts';
import { bagViewFixture } from './bag-view.ts';

const NOON = new Date(2026, 10, 25, 12, 0).getTime();
const at = (hours: number) => NOON + hours * 3_600_000;

const TABLE: LethalityView = {
  standardId: 'fsis-meat-6.5',
  standard: 'FSIS Appendix A, meat, 6.5 log',
  organism: 'Salmonella',
  source: 'USDA FSIS',
  targetLog10: 6.5,
  log10: 3.17,
  equivalentMetAtMs: null,
  // USDA FSIS-GD-2021-0014, Table 2: 140 F (60.0 C), 12 min for 6.5 log.
  dwell: { row: '140 F (60.0 C), 12 min', heldS: 300, needS: 720, metByRow: null },
  metAtMs: null,
  dueAtMs: at(1.5),
  dueHeldBy: null,
};

const FOUND = breachVerdict({
  limit: 'come-up',
  atS: 26_400,
  words: 'The core spent more than 6 h 00 min in all between 10.0 C and 54.4 C.',
  source: 'USDA FSIS-GD-2021-0014, come-up time: 50 to 130 F within 6 h in all',
});

const BREACH: VerdictView = { ...FOUND, cautions: [...FOUND.cautions] };

const KEPT: VerdictView = {
  status: 'kept',
  words: 'Salmonella: held as the table words it: 140 F (60.0 C), 12 min, done at 2 h 14 min.',
  rule: TABLE.standard,
  source: TABLE.source,
  asks: null,
  cautions: [],
};

function forecastOf(times: Pick<TenderView, 'p10AtMs' | 'p50AtMs' | 'p90AtMs'>): TenderView {
  return {
    ...times,
    endpoint: 'fork-tender',
    readyNow: 0.02,
    spanRatio: 0.71,
    equivalentHoursAt70C: 3,
    why: 'From what is published.',
    forkTests: [],
  };
}

describe('A lethality standard in words', () => {
  test('tells the dwell as the standard words it, and the sum along the core as an equivalent', () => {
    const words = lethalityWords(TABLE, 'C', NOON);
    expect(words.word).toBe('not met yet');
    expect(words.dwell?.replaceAll('\u00a0', ' ')).toBe(
      'held 5 min of 12 min so far; the row asks 60.0 °C, 12 min',
    );
    expect(words.equivalent).toBe('3.1 of 6.5 log10');
    expect(words.due).toBe('about 13:30 if the bath keeps its setpoint');
    expect(words.share).toBeCloseTo(300 / 720, 9);
    expect(lethalityWords(TABLE, 'F', NOON).dwell?.replaceAll('\u00a0', ' ')).toContain('140 °F, 12 min');
  });
  test('does not call it met where only the integral has reached the target', () => {
    const words = lethalityWords({ ...TABLE, log10: 6.8, equivalentMetAtMs: at(-1) }, 'C', NOON);
    expect(words.state).toBe('equivalent');
    expect(words.word).toBe('not met yet as the standard words it; its equivalent was met at 11:00');
    expect(
      safetyWords(bagViewFixture({ lethality: [{ ...TABLE, equivalentMetAtMs: at(-1) }] }), 'C', NOON),
    ).toMatchObject({
      headline:
        'No rule broken so far; its standard is not met yet as the standard words it; its equivalent was met at 11:00',
    });
    expect(words.due).not.toBeNull();
    expect(words.share).toBeLessThan(1);
  });
  test('never rounds up to the target, and caps what is far over it', () => {
    expect(lethalityWords({ ...TABLE, log10: 6.49 }, 'C', NOON).equivalent).toBe('6.4 of 6.5 log10');
    const over = { ...TABLE, log10: 3124, equivalentMetAtMs: at(-1), metAtMs: at(-0.5), dueAtMs: null };
    const words = lethalityWords(over, 'C', NOON);
    expect(words.equivalent).toBe('far over 6.5 log10, reached at 11:00');
    expect(words).toMatchObject({ state: 'met', word: 'met at 11:30', share: 1, due: null });
  });
  test('claims nothing where the document names neither target nor dwell', () => {
    const words = lethalityWords({ ...TABLE, targetLog10: null, dwell: null, log10: 50 }, 'C', NOON);
    expect(words).toMatchObject({ state: 'no-target', share: null, equivalent: 'more than 12 log10' });
  });
});

describe('The forecast in words', () => {
  const tender = forecastOf({ p10AtMs: at(7.67), p50AtMs: at(9), p90AtMs: at(11.17) });
  test('gives the span before the middle, says 10 to 90 %, the odds now and how rough it is as a ratio', () => {
    const words = forecastWords(tender, NOON);
    expect(words.span).toBe('Likely between 19:40 and 23:10');
    expect(words.middle).toBe('Most likely about 21:00; the span is 10 to 90 %.');
    expect(words.odds).toBe('Odds that it is fork-tender now: 2 %');
    expect(words.width).toContain('0.71 times the middle');
  });
  test('names the day where it is not today', () => {
    expect(forecastWords({ ...tender, p90AtMs: at(16) }, NOON).span).toBe(
      'Likely between 19:40 and Thu 04:00',
    );
  });
  test('never names a time that has passed as one to come, and never promises a day beyond its horizon', () => {
    const past = forecastWords({ ...tender, readyNow: 0.3, p10AtMs: at(-1) }, NOON);
    expect(past.span).toBe('Likely between now and 23:10');
    const half = forecastWords({ ...tender, readyNow: 0.6, p10AtMs: at(-2), p50AtMs: at(-1) }, NOON);
    expect(`${half.span} ${half.middle}`).not.toMatch(/11:00|10:00/);
    expect(forecastWords({ ...tender, readyNow: 0.95 }, NOON).span).toBe('Very likely ready now');
    const never = forecastWords(
      { ...tender, p10AtMs: null, p50AtMs: null, p90AtMs: null, spanRatio: null },
      NOON,
    );
    expect(never).toMatchObject({ span: 'Not likely within three days', width: null });
    expect(forecastWords({ ...tender, p90AtMs: null }, NOON).span).toMatch(/not for days/);
  });
  test('is never nought and never certain', () => {
    expect([0, 0.004, 0.5, 0.996, 1].map(oddsText)).toEqual([
      'under 1 %',
      'under 1 %',
      '50 %',
      'over 99 %',
      'over 99 %',
    ]);
  });
});

describe('Whether it is safe so far', () => {
  const bag = bagViewFixture({ lethality: [TABLE], verdicts: [KEPT] });
  test('never says that food is safe: no rule broken so far, and whether its standard is met', () => {
    const met = { ...TABLE, metAtMs: at(-0.5) };
    expect(safetyWords(bag, 'C', NOON).headline).toBe('No rule broken so far; its standard is not met yet');
    expect(safetyWords({ ...bag, lethality: [met] }, 'C', NOON).headline).toBe(
      'No rule broken so far; its standard was met at 11:30',
    );
    expect(safetyWords({ ...bag, outAtMs: NOON }, 'C', NOON).headline).toBe(
      'No rule broken so far; its standard was not met',
    );
    expect(safetyWords({ ...bag, lethality: [] }, 'C', NOON).state).toBe('no-standard');
  });
  test('puts a broken rule before everything, with what it asks and who decides', () => {
    const safety = safetyWords({ ...bag, verdicts: [KEPT, BREACH] }, 'C', NOON);
    expect(safety).toMatchObject({ state: 'broken', headline: 'A rule is broken' });
    expect(safety.broken[0]?.asks).toContain(DEFER);
    expect(statusWord(BREACH, bag)).toBe('Broken');
  });
  test('leaves out times that count on the controller’s own clock, and nothing else', () => {
    expect(verdictText(BREACH)).toBe(
      'The core spent more than 6 h 00 min in all between 10.0 C and 54.4 C. This does not heal: later heat destroys neither toxins nor spores.',
    );
    expect(verdictText(KEPT)).toBe('Salmonella: held as the table words it: 140 F (60.0 C), 12 min.');
  });
  test('calls a standard met only as it is worded, and says of a limit that it is kept so far', () => {
    const summed = { ...bag, lethality: [{ ...TABLE, equivalentMetAtMs: at(-1) }] };
    expect(statusWord({ ...KEPT, status: 'not-yet' }, summed)).toBe(
      'Not yet as worded; an equivalent is met',
    );
    expect(statusWord({ ...KEPT, status: 'not-yet' }, bag)).toBe('Not yet');
    expect(statusWord(KEPT, { ...bag, lethality: [{ ...TABLE, metAtMs: NOON }] })).toBe('Met');
    expect(statusWord({ ...KEPT, rule: 'Come-up within 6 h' }, bag)).toBe('Kept so far');
  });
  test('counts come-up against its limit and says when it is over', () => {
    const comeUp = (seconds: number, doneAtMs: number | null) =>
      comeUpWords(bagViewFixture({ comeUp: { seconds, limitS: 21_600, doneAtMs } }), NOON);
    expect(comeUp(7200, null)).toEqual({
      text: '2 h 00 min of 6 h 00 min used, 4 h 00 min left',
      share: 1 / 3,
    });
    expect(comeUp(7200, at(-1)).text).toBe('over at 11:00 after 2 h 00 min; limit 6 h 00 min');
    expect(comeUp(23_000, at(-1)).text).toBe('6 h 23 min used; the limit was 6 h 00 min');
    expect(growthWords(bagViewFixture({ growthLog10: 0.71 }))).toBe('C. perfringens: up to 0.7 log10');
  });
  test('says of a probe what it is worth and what is doubtful about it', () => {
    const probe = (celsius: number | null, credited: boolean) =>
      creditText(bagViewFixture({ measured: { celsius, credited, flags: [] } }));
    expect(probe(60, true)).toContain('credited');
    expect(probe(60, false)).toContain('does not raise');
    expect(probe(null, false)).toContain('No reading');
    const known = ['hotter-than-meat-can-be', 'colder-than-meat-can-be', 'below-worst-case'];
    expect(new Set(known.map(flagText)).size).toBe(3);
    for (const flag of known) expect(flagText(flag)).not.toContain(flag.replaceAll('-', ' '));
    expect(flagText('some-new-flag')).toContain('some new flag');
  });
  test('is told of all bags together, the broken ones by name and out of the forecast', () => {
    const other = bagViewFixture({ bagId: 'b', label: 'Pork neck', lethality: [TABLE], verdicts: [BREACH] });
    expect(summaryOf([bag, other], 'C', NOON, true)).toMatchObject({
      safety: 'A rule is broken: Pork neck',
      brokenBagId: 'b',
      ready: null,
    });
    expect(summaryOf([bag], 'C', NOON, true)?.safety).toContain('no lethality standard is met yet');
    const tender = forecastOf({ p10AtMs: at(7), p50AtMs: at(9), p90AtMs: at(11) });
    const ready = (steady: boolean) => summaryOf([{ ...bag, tender }], 'C', NOON, steady)?.ready;
    expect(ready(true)).toBe('Fork-tender: likely between 19:00 and 23:00.');
    expect(ready(false)).toContain('if the bath comes back to its setpoint');
    expect(summaryOf([], 'C', NOON, true)).toBeNull();
  });
});

describe('The words of standards in the chosen unit', () => {
  // USDA FSIS-GD-2021-0014, Table 2 prints 130 F beside 54.4 C; NIST SP 811: t/°F = 1.8 t/°C + 32.
  test('take the figure the document prints where it prints both', () => {
    const local = (text: string, unit: 'C' | 'F') => localText(text, unit).replaceAll('\u00a0', ' ');
    expect(local('130 F (54.4 C), 112 min', 'C')).toBe('54.4 °C, 112 min');
    expect(local('130 F (54.4 C), 112 min', 'F')).toBe('130 °F, 112 min');
    expect(local('50 to 130 F within 6 h', 'C')).toBe('10.0 to 54.4 °C within 6 h');
    expect(local('at 60.0, 65.6 and 71.1 C, but not at 54.4 C', 'F')).toBe(
      'at 140.0, 150.1 and 160.0 °F, but not at 129.9 °F',
    );
  });
  test('turn a z value as a difference', () => {
    expect(localText('(z 9 C)', 'F')).toBe('(z 16 °F)');
  });
});

describe('The heat in words', () => {
  const holding = new FakeHut('holding', NOON).status(NOON);
  const status = (heat: Partial<Status['heat']>, more: Partial<Status> = {}): Status => ({
    ...holding,
    ...more,
    heat: { ...holding.heat, ...heat },
  });
  test('while holding tells the share and what for, and does not call a pause between two bursts "off"', () => {
    for (const on of [true, false]) {
      const words = heatWords(status({ granted: on, circuitClosed: on, duty: 0.12 }), 'C');
      expect(words).toEqual({ word: 'Heating 12 %', why: 'holding 74.0 °C', circuit: null });
    }
    const under = status({ duty: 1 }, { bath: { celsius: 40, quality: 'good', ageMs: 0 } });
    expect(heatWords(under, 'F')).toMatchObject({ word: 'Heating 100 %', why: 'to reach 165.2 °F' });
  });
  test('tells why there is none, and that the element is on where it should not be', () => {
    const stopped = status({
      stopped: true,
      granted: false,
      duty: 0,
      circuitClosed: true,
      reason: 'Stopped: cook.',
    });
    expect(heatWords(stopped, 'C')).toEqual({
      word: 'Heat stopped',
      why: 'by cook',
      circuit: 'The element is still on.',
    });
    const blind = status(
      { granted: false, duty: 0.3, circuitClosed: false, reason: 'Waiting for a fresh reading.' },
      { bath: { celsius: null, quality: 'offline', ageMs: null } },
    );
    expect(heatWords(blind, 'C')).toMatchObject({ word: 'Not heating', why: 'waiting for a fresh reading' });
  });
});

describe('What is wanted of a dish', () => {
  const cut = cutById('lamb-shoulder')!;
  test('is fork-tender until it is named, and named once for each dish', () => {
    expect(usualOf(cut, []).endpoint).toBe('fork-tender');
    const first = bagViewFixture({ cutId: cut.id, endpoint: 'shreds' });
    expect(usualOf(cut, [first]).endpoint).toBe('shreds');
    expect(usualOf(cutById('pork-neck')!, [first]).endpoint).toBe('fork-tender');
    const made = specOf({ ...emptyDraft('C'), ...usualOf(cut, [first]), thicknessMm: '60' }, 'x');
    expect(made).toMatchObject({ ok: true, bag: { endpoint: 'shreds' } });
  });
});

describe('The clock used here', () => {
  test('reads noon as 12:00, whatever the time zone of the machine', () => {
    expect(clockText(NOON)).toBe('12:00');
  });
});

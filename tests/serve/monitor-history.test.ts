import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { History } from '../../monitor/src/series/history.ts';
import { pictureOf } from '../../monitor/src/series/picture.ts';
import type { Rows } from '../../monitor/src/series/rows.ts';
import { tableOf } from '../../monitor/src/series/table.ts';
import type { Sample, TierRow } from '../../shared/wire/rows.ts';

const START_MS = 1_764_000_000_000;

function sample(sequence: number, wallMs = START_MS + sequence * 1000): Sample {
  return {
    sequence,
    wallMs,
    bathC: 70 + (sequence % 7),
    setpointC: 74,
    duty: 0.25,
    bags: [{ bagId: 'neck', coreC: 40, coldC: 38, hotC: 42, log10: 0 }],
  };
}

const samples = (from: number, to: number) =>
  Array.from({ length: to - from + 1 }, (_, i) => sample(from + i));

function tier(widthS: 10 | 60 | 600, run: readonly Sample[]): TierRow {
  const baths = run.map((one) => one.bathC!);
  return {
    widthS,
    startMs: Math.floor(run[0]!.wallMs / (widthS * 1000)) * widthS * 1000,
    firstSequence: run[0]!.sequence,
    lastSequence: run.at(-1)!.sequence,
    count: run.length,
    minC: Math.min(...baths),
    meanC: baths.reduce((sum, value) => sum + value, 0) / baths.length,
    maxC: Math.max(...baths),
    setpointC: 74,
    duty: 0.25,
    bags: run.at(-1)!.bags,
  };
}

/** The journal's own tiers of a run of samples. */
function tiersOf(widthS: 10 | 60 | 600, run: readonly Sample[]): TierRow[] {
  const buckets = new Map<number, Sample[]>();
  for (const one of run) {
    const key = Math.floor(one.wallMs / (widthS * 1000));
    buckets.set(key, [...(buckets.get(key) ?? []), one]);
  }
  return [...buckets.values()].map((bucket) => tier(widthS, bucket));
}

const sequencesOf = (rows: Rows) => Array.from(rows.first.subarray(0, rows.length));

describe('The history a page keeps', () => {
  test('holds each sample once however often and in whatever order it comes', () => {
    fc.assert(
      fc.property(
        fc.array(fc.tuple(fc.integer({ min: 1, max: 200 }), fc.integer({ min: 0, max: 40 })), {
          minLength: 1,
          maxLength: 12,
        }),
        (parts) => {
          const history = new History();
          const wanted = new Set<number>();
          for (const [from, length] of parts) {
            history.take([], samples(from, from + length));
            for (let i = from; i <= from + length; i++) wanted.add(i);
          }
          expect(sequencesOf(history.raw)).toEqual([...wanted].sort((a, b) => a - b));
          expect(history.lastSequence).toBe(Math.max(...wanted));
        },
      ),
    );
  });

  test('summarises samples into the same tiers as the journal, also when some come late', () => {
    const run = samples(1, 1500);
    const history = new History();
    history.take([], run.slice(0, 700));
    history.take([], run.slice(760, 1500));
    history.take([], run.slice(700, 760));
    for (const [index, widthS] of ([10, 60, 600] as const).entries()) {
      const level = history.levels[index + 1]!;
      const expected = tiersOf(widthS, run);
      expect(level.length).toBe(expected.length);
      for (const [i, row] of expected.entries()) {
        expect([level.startMs[i], level.first[i], level.last[i], level.count[i]]).toEqual([
          row.startMs,
          row.firstSequence,
          row.lastSequence,
          row.count,
        ]);
        expect(level.minC[i]).toBeCloseTo(row.minC!, 4);
        expect(level.meanC[i]).toBeCloseTo(row.meanC!, 4);
        expect(level.maxC[i]).toBeCloseTo(row.maxC!, 4);
      }
    }
  });

  test('never replaces a whole bucket by a part of it', () => {
    const run = samples(1, 60);
    const history = new History();
    const [whole] = tiersOf(60, run);
    history.take([whole!], run.slice(50));
    expect(history.levels[2]!.count[0]).toBe(whole!.count);
  });

  test('stays within its bound over more than 72 hours', () => {
    const history = new History();
    for (let from = 1; from < 20_000; from += 500) history.take([], samples(from, from + 499));
    expect(history.raw.length).toBeLessThanOrEqual(1920 * 1.25 + 8);
    expect(history.raw.last[history.raw.length - 1]).toBe(20_000);
    const bytes = history.levels.reduce((sum, level) => sum + level.startMs.byteLength / 8, 0);
    expect(bytes).toBeLessThan(45_000);
  });

  test('keeps times rising when the wall clock was set back, with the newest clock in force', () => {
    const history = new History();
    history.take([], samples(1, 100));
    const back = Array.from({ length: 50 }, (_, i) =>
      sample(101 + i, START_MS + (101 + i) * 1000 - 3_600_000),
    );
    history.take([], back);
    const times = Array.from(history.raw.startMs.subarray(0, history.raw.length));
    expect(times.every((time, i) => i === 0 || time > times[i - 1]!)).toBe(true);
    expect(times.at(-1)).toBe(back.at(-1)!.wallMs);
  });
});

describe('The chart', () => {
  const query = (toSequence: number, seconds: number) => ({
    fromMs: START_MS + (toSequence - seconds) * 1000,
    toMs: START_MS + toSequence * 1000,
    bagId: 'neck',
  });

  test('breaks the line where more than 3 s of samples are missing, and only there', () => {
    const history = new History();
    history.take([], [...samples(1, 100), ...samples(103, 200), ...samples(206, 300)]);
    const picture = pictureOf(history, query(300, 300));
    expect(picture.gaps).toBe(1);
    const hole = picture.timeS.findIndex((_, i) => picture.bathC[i] === null);
    expect(picture.timeS[hole]).toBeGreaterThan(START_MS / 1000 + 200);
    expect(picture.timeS[hole]).toBeLessThan(START_MS / 1000 + 206);
    expect(picture.coreC[hole]).toBeNull();
  });

  test('breaks the line where time passed without a tick, though no sequence is missing', () => {
    const history = new History();
    const later = Array.from({ length: 50 }, (_, i) => sample(101 + i, START_MS + (101 + i) * 1000 + 60_000));
    history.take([], [...samples(1, 100), ...later]);
    expect(pictureOf(history, { fromMs: START_MS, toMs: START_MS + 300_000, bagId: null }).gaps).toBe(1);
  });

  test('breaks the line where a whole bucket of a tier is missing', () => {
    const rows = tiersOf(60, samples(1, 6000));
    const history = new History();
    history.take([...rows.slice(0, 40), ...rows.slice(41)], []);
    expect(pictureOf(history, query(6000, 10 * 3600)).gaps).toBe(1);
  });

  test('shows a reading that was not valid as no reading', () => {
    const history = new History();
    history.take([], [...samples(1, 10), { ...sample(11), bathC: null }, ...samples(12, 20)]);
    const picture = pictureOf(history, query(20, 20));
    expect(picture.bathC.filter((value) => value === null)).toHaveLength(1);
    expect(picture.setpointC[10]).toBe(74);
  });

  test('fills holes of the fine data with coarser rows and never counts a moment twice', () => {
    const run = samples(1, 4000);
    const history = new History();
    history.take(tiersOf(10, run.slice(0, 2200)), [...run.slice(0, 300), ...run.slice(2200)]);
    const picture = pictureOf(history, query(4000, 1800));
    expect(picture.gaps).toBe(0);
    expect(picture.timeS.every((time, i) => i === 0 || time > picture.timeS[i - 1]!)).toBe(true);
    const whole = pictureOf(history, { fromMs: START_MS, toMs: START_MS + 4_000_000, bagId: 'neck' });
    expect(whole.gaps).toBe(0);
  });

  test('says the same in its table: least and greatest bath, last core, and what is missing', () => {
    const history = new History();
    history.take([], [...samples(1, 59), ...samples(121, 180)]);
    const range = { fromMs: START_MS, toMs: START_MS + 180_000, bagId: 'neck' };
    const table = tableOf(pictureOf(history, range), range.fromMs, range.toMs, 3);
    expect(table).toHaveLength(3);
    expect(table[2]).toMatchObject({ bathMinC: 70, bathMaxC: 76, coreC: 40, coldC: 38, hotC: 42 });
    expect(table[1]).toMatchObject({ bathMinC: null, bathMaxC: null, coreC: null });
    expect(table[0]!.fromMs).toBeGreaterThan(table[1]!.fromMs);
  });
});

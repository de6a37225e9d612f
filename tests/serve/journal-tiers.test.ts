import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { openJournal } from '../../controller/journal/journal.ts';
import { openReader } from '../../controller/journal/reader.ts';
import { addSample, closeAll, NO_BUCKETS } from '../../controller/journal/tiers.ts';
import type { TickRecord } from '../../shared/wire/record.ts';
import {
  type BagSample,
  type Sample,
  TIERS_S,
  type TierRow,
  type TierWidth,
} from '../../shared/wire/rows.ts';
import { aggregate } from './journal-aggregate.ts';
import { COOK_ID, cookOf, options, START_MS, tick } from './journal-fixture.ts';
import { ownFolder } from './journal-folder.ts';

const EVER = [0, Number.MAX_SAFE_INTEGER] as const;

async function writeAll(folder: string, records: readonly TickRecord[]): Promise<void> {
  const journal = await openJournal(options(folder));
  for (const record of records) journal.write(record);
  await journal.close();
}

async function tiersOf(folder: string, widthS: TierWidth): Promise<TierRow[]> {
  const reader = await openReader(options(folder).path);
  const rows = await reader.tiers(COOK_ID, widthS, ...EVER);
  await reader.close();
  return rows;
}

describe('tiers', () => {
  it('are the exact aggregate of their samples, to the last one of an ended cook', async () => {
    const folder = ownFolder();
    const records = cookOf(1500);
    await writeAll(folder, [...records, tick(1501, { cookId: null })]);
    const samples = records.map(({ sample }) => sample);
    for (const widthS of TIERS_S) expect(await tiersOf(folder, widthS)).toEqual(aggregate(samples, widthS));
  });

  it('are the same wherever the controller was stopped and started again, also in the middle of a bucket', async () => {
    const folder = ownFolder();
    const records = cookOf(1400);
    const stops = [3, 17, 18, 600, 601, 1333, 1400];
    for (const [n, stop] of stops.entries()) await writeAll(folder, records.slice(stops[n - 1] ?? 0, stop));
    await writeAll(folder, [tick(1401, { cookId: null })]);
    const samples = records.map(({ sample }) => sample);
    for (const widthS of TIERS_S) expect(await tiersOf(folder, widthS)).toEqual(aggregate(samples, widthS));
  });

  it('leave out the bucket that is not complete, so that what follows the last row is exactly the raw samples', async () => {
    const folder = ownFolder();
    const records = cookOf(2000).slice(0, 1234);
    await writeAll(folder, records);
    const samples = records.map(({ sample }) => sample);
    for (const widthS of TIERS_S) {
      const rows = await tiersOf(folder, widthS);
      expect(rows).toEqual(aggregate(samples, widthS).slice(0, -1));
    }
  });

  it('say of a stretch without readings that there was none, and do not bridge it', async () => {
    const folder = ownFolder();
    const silent = (n: number) => n >= 20 && n < 60;
    const records = Array.from({ length: 100 }, (_, n) => tick(n + 1, silent(n) ? { bathC: null } : {}));
    await writeAll(folder, records);
    const rows = await tiersOf(folder, 10);
    const quiet = rows.filter(({ count }) => count === 0);
    expect(quiet.length).toBe(3);
    for (const row of quiet) expect(row).toMatchObject({ minC: null, meanC: null, maxC: null });
  });

  it('gives only the buckets that begin in the time asked for', async () => {
    const folder = ownFolder();
    await writeAll(folder, cookOf(300));
    const all = await tiersOf(folder, 10);
    const reader = await openReader(options(folder).path);
    const [fromMs, toMs] = [START_MS + 57_000, START_MS + 127_000];
    const some = await reader.tiers(COOK_ID, 10, fromMs, toMs);
    expect(some).toEqual(all.filter(({ startMs }) => startMs >= fromMs && startMs < toMs));
    expect(some.length).toBe(7);
    await reader.close();
  });

  it('hold every sample once and only once, whatever the wall clock does and whichever readings are missing', () => {
    const step = fc.oneof(
      { weight: 20, arbitrary: fc.constant(1000) },
      fc.integer({ min: -90_000, max: 4_000_000 }),
    );
    const one = fc.record({ step, bathC: fc.option(fc.double({ min: 0, max: 99, noNaN: true })) });
    fc.assert(
      fc.property(fc.array(one, { minLength: 1, maxLength: 200 }), (list) => {
        let wallMs = START_MS;
        const samples = list.map(({ step: by, bathC }, n): Sample => {
          wallMs += by;
          return { sequence: n + 1, wallMs, bathC, setpointC: 60, duty: n / 200, bags: bagsAt(n) };
        });
        let buckets = NO_BUCKETS;
        const rows: TierRow[] = [];
        for (const sample of samples) {
          const added = addSample(buckets, sample);
          buckets = added.buckets;
          rows.push(...added.closed);
        }
        rows.push(...closeAll(buckets));
        for (const widthS of TIERS_S) {
          expect(rows.filter((row) => row.widthS === widthS)).toEqual(aggregate(samples, widthS));
        }
      }),
      { seed: 11, numRuns: 200 },
    );
  });
});

/** Bags that come and go, so that some leave within a bucket. */
function bagsAt(n: number): BagSample[] {
  const ids = ['a', 'b', 'c'].filter((_id, index) => Math.floor(n / (7 + index)) % 2 === 0);
  return ids.map((bagId) => ({ bagId, coreC: n / 3, coldC: n / 4, hotC: n / 2, log10: n / 7 }));
}

import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { type Asked, readFlags } from '../../controller/cli/assess/flags.ts';
import { readLog } from '../../controller/cli/assess/log.ts';
import { assessmentOf } from '../../controller/cli/assess/result.ts';
import { runLog } from '../../controller/cli/assess/run.ts';
import { setupOf } from '../../controller/cli/assess/setup.ts';
import { startWalk } from '../../controller/cli/assess/state.ts';
import { assessed, csvOf, rowsOf } from '../serve/assess-run.ts';

const asked = (shape: string) =>
  readFlags([
    'log.csv',
    '--shape',
    shape,
    '--thickness',
    '40mm',
    '--start',
    '5C',
    '--cut',
    'chicken-thigh',
  ]) as Asked;
const bytesOf = (text: string) => new TextEncoder().encode(text);

/** A cook with a dip, a gap and a measured core, ending in ice. */
function eventful(): string {
  const rows = rowsOf(20_000, 50, (s) => (s > 15_000 ? 2 : s > 8000 && s < 9000 ? 55 : 66)).filter(
    ([s]) => s < 4000 || s > 4600,
  );
  return `time,bath_c,core_c\n${rows.map(([s, c]) => `${s},${c},${Math.min(c, 5 + s / 120).toFixed(2)}`).join('\n')}\n`;
}

describe('a log split in two', () => {
  it('at any row, with the state through JSON, gives the same bits as the whole', () => {
    for (const shape of ['slab', 'brick']) {
      const log = readLog(bytesOf(eventful()), asked(shape));
      const setup = setupOf(asked(shape), 60);
      const whole = runLog(setup, log);
      const document = JSON.stringify(assessmentOf(asked(shape), setup, log, whole, null));
      fc.assert(
        fc.property(fc.integer({ min: 1, max: log.seconds.length - 2 }), (row) => {
          const first = runLog(setup, log, startWalk(setup), 0, row);
          const second = runLog(setupOf(asked(shape), 60), log, JSON.parse(JSON.stringify(first)), row);
          expect(second.middle).toEqual(whole.middle);
          expect(JSON.stringify(assessmentOf(asked(shape), setup, log, second, null))).toBe(document);
        }),
        { numRuns: 15 },
      );
    }
  });

  it('between its rows, by rows put in on the straight line, changes no kill by 0.01 log on the way to its target', async () => {
    const water = (s: number) => (s < 3000 ? 40 + s / 150 : 60 - Math.abs(((s - 3000) % 4800) - 2400) / 800);
    const wide = rowsOf(9000, 600, water);
    const whole = await assessed(csvOf(wide));
    await fc.assert(
      fc.asyncProperty(
        fc.array(fc.double({ min: 1, max: 8999, noNaN: true }), { minLength: 1, maxLength: 6 }),
        async (extra) => {
          const between = extra.map((s): readonly [number, number] => {
            const i = Math.floor(s / 600);
            const [a, b] = [wide[i]!, wide[i + 1]!];
            return [s, a[1] + ((b[1] - a[1]) * (s - a[0])) / 600];
          });
          const rows = [...wide, ...between].sort((a, b) => a[0] - b[0]);
          const split = await assessed(csvOf(rows.filter(([s], i) => i === 0 || s > rows[i - 1]![0])));
          expect(Math.abs(split.core.endC - whole.core.endC)).toBeLessThan(0.005);
          split.lethality.forEach(({ log10, metAtS }, i) => {
            const other = whole.lethality[i]!;
            // Far past its target a sum is large, and so is a thousandth of it.
            expect(Math.abs(log10 - other.log10)).toBeLessThan(Math.max(0.01, 0.001 * other.log10));
            if (metAtS !== null && other.metAtS !== null)
              expect(Math.abs(metAtS - other.metAtS)).toBeLessThan(5);
          });
        },
      ),
      { numRuns: 25 },
    );
  });
});

describe('a gap', () => {
  const water = (s: number) => (s > 9000 && s < 11_000 ? 52 : 62);
  const rows = rowsOf(18_000, 30, water);
  const without = (fromS: number, toS: number) => csvOf(rows.filter(([s]) => s <= fromS || s >= toS));

  const anywhere = fc.tuple(fc.integer({ min: 60, max: 14_000 }), fc.integer({ min: 600, max: 3600 }));

  it('in a bath that never falls earns no more kill, and counts no less time in the worst case, than its missing rows would have, wherever it lies', async () => {
    const rising = rowsOf(18_000, 30, (s) => Math.min(62, 20 + s / 100));
    const whole = await assessed(csvOf(rising));
    await fc.assert(
      fc.asyncProperty(anywhere, async ([fromS, lasting]) => {
        const gappy = await assessed(csvOf(rising.filter(([s]) => s <= fromS || s >= fromS + lasting)));
        gappy.lethality.forEach(({ log10 }, i) => {
          expect(log10).toBeLessThanOrEqual(whole.lethality[i]!.log10 * (1 + 1e-3));
          expect(gappy.envelope.lethality[i]!.log10).toBeLessThanOrEqual(
            whole.envelope.lethality[i]!.log10 * (1 + 1e-3),
          );
        });
        expect(gappy.envelope.comeUp.seconds).toBeGreaterThanOrEqual(whole.envelope.comeUp.seconds - 1);
        expect(gappy.envelope.dangerZoneS).toBeGreaterThanOrEqual(whole.envelope.dangerZoneS - 1);
      }),
      { numRuns: 25 },
    );
  });

  it('grows no less than its missing rows would have, even where they hide a dip of the water', async () => {
    const whole = await assessed(csvOf(rows));
    await fc.assert(
      fc.asyncProperty(anywhere, async ([fromS, lasting]) => {
        const gappy = await assessed(without(fromS, fromS + lasting));
        expect(gappy.gaps.found).toHaveLength(1);
        expect(gappy.growth[0]!.log10).toBeGreaterThanOrEqual(whole.growth[0]!.log10);
        expect(gappy.envelope.growth[0]!.log10).toBeGreaterThanOrEqual(whole.envelope.growth[0]!.log10);
      }),
      { numRuns: 25 },
    );
  });

  it('is told with its ends and length, is not drawn, and breaks a hold that a table words', async () => {
    const gappy = await assessed(without(6000, 7200), '--series', '300', '--cut', 'lamb-leg');
    expect(gappy.gaps.found).toEqual([{ fromS: 6000, toS: 7200 }]);
    expect(gappy.repairs.find((text) => text.includes('gap'))).toMatch(
      /gap of 20 min from 6000 s to 7200 s by the pessimistic side/,
    );
    const drawn = gappy.core.series!.map(([s]) => s);
    expect(drawn).toContain(6000);
    expect(drawn).toContain(7200);
    expect(drawn.filter((s) => s > 6000 && s < 7200)).toEqual([]);
    expect(gappy.lethality[0]!.dwell!.heldS).toBeLessThanOrEqual(18_000 - 7200);
    expect(gappy.cautions.join(' ')).toContain('20 min of the log are missing in one gap');
  });

  it('keeps the core in water of the colder end: as a log that has that end all the way', async () => {
    const stepped = (s: number) => (s <= 6000 ? 62 : 50);
    const gappy = await assessed(csvOf(rowsOf(12_000, 30, stepped).filter(([s]) => s <= 6000 || s >= 7200)));
    const cold = await assessed(
      csvOf([
        ...rowsOf(6000, 30, () => 62),
        [6000.001, 50] as const,
        ...rowsOf(12_000, 30, () => 50).filter(([s]) => s > 6000),
      ]),
    );
    expect(Math.abs(gappy.core.endC - cold.core.endC)).toBeLessThan(0.01);
  });

  it('is judged by the spacing around it: a logger that slows down, and one that writes unevenly, have none', async () => {
    const slower = [...rowsOf(3600, 1, () => 60), ...rowsOf(36_000, 600, () => 60).filter(([s]) => s > 3600)];
    expect((await assessed(csvOf(slower))).gaps.found).toEqual([]);
    const spacings = [1, 40, 600, 7, 90, 300];
    const uneven: [number, number][] = [[0, 60]];
    for (let i = 0; i < 300; i++) uneven.push([uneven.at(-1)![0] + spacings[i % 6]!, 60]);
    expect((await assessed(csvOf(uneven))).gaps.found).toEqual([]);
    const hourly = await assessed(csvOf(rowsOf(36_000, 3600, () => 60)));
    expect(hourly.gaps.found).toEqual([]);
    expect(hourly.cautions.join(' ')).toContain('The rows are 1 h 00 min apart');
  });
});

describe('a measured core', () => {
  const log = (core: (s: number) => number | string) =>
    `time,bath_c,core_c\n${rowsOf(12_000, 60, () => 62)
      .map(([s, c]) => `${s},${c},${core(s)}`)
      .join('\n')}\n`;
  const first = (result: Awaited<ReturnType<typeof assessed>>) =>
    result.lethality.find((e) => e.standardId === 'fsis-meat-6.5')!.log10;
  const worst = (result: Awaited<ReturnType<typeof assessed>>) =>
    result.envelope.lethality.find((e) => e.standardId === 'fsis-meat-6.5')!.log10;

  it('lowers the credit at once where it reads under the model, and is flagged where it is under the worst case', async () => {
    const model = await assessed(log(() => ''));
    const low = await assessed(log((s) => Math.min(56, 5 + s / 150)));
    expect(first(low)).toBeLessThan(0.5 * first(model));
    expect(worst(low)).toBeLessThan(worst(model));
    expect(low.comeUp.seconds).toBeGreaterThan(model.comeUp.seconds);
    expect(low.cautions.join(' ')).toContain('colder than the slowest case');
    expect(low.core.measured!.endC).toBe(56);
    expect(low.core.endC).toBeCloseTo(model.core.endC, 9);
  });

  it('raises nothing unless the cold spot was recorded; then it raises the worst case, less its error', async () => {
    const model = await assessed(log(() => ''));
    const ahead = (s: number) => Math.min(61.5, 5 + s / 60).toFixed(2);
    const unrecorded = await assessed(log(ahead));
    expect(first(unrecorded)).toBeLessThanOrEqual(first(model));
    expect(worst(unrecorded)).toBeLessThanOrEqual(worst(model));
    expect(unrecorded.cautions.join(' ')).toContain('--cold-spot');
    const recorded = await assessed(
      log((s) => Math.min(61.5, 5 + s / 100).toFixed(2)),
      '--cold-spot',
      'lowest of three places',
    );
    expect(worst(recorded)).toBeGreaterThan(worst(model));
  });

  it('that was hotter than meat can be earns nothing from then on, even where its place was said to be the cold spot', async () => {
    const model = await assessed(log(() => ''));
    const inWater = await assessed(
      log(() => 62),
      '--cold-spot',
      'a guess',
    );
    expect(inWater.cautions.join(' ')).toContain('probably not in the meat');
    expect(worst(inWater)).toBe(worst(model));
  });
});

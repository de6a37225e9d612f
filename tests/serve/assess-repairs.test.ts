import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { assessed, csvOf, rowsOf } from './assess-run.ts';

const rows = rowsOf(7200, 60, (s) => 55 + (s % 600) / 100);
const text = csvOf(rows).trimEnd().split('\n');
const header = text[0]!;
const body = text.slice(1);
const whole = await assessed(csvOf(rows));
const log = (lines: readonly string[]) => `${[header, ...lines].join('\n')}\n`;
const without = (...drop: number[]) => body.filter((_, i) => !drop.includes(i));
const replaced = (changes: Readonly<Record<number, string>>) => body.map((line, i) => changes[i] ?? line);

/** What an assessment says of the food, without what it says of the log. */
const judged = (result: Awaited<ReturnType<typeof assessed>>) => [
  result.core,
  result.lethality,
  result.growth,
  result.envelope,
];

describe('what can be repaired is repaired, and said', () => {
  it('rows out of order are sorted, with how many and where', async () => {
    const lines = [...body];
    [lines[10], lines[40]] = [lines[40]!, lines[10]!];
    const result = await assessed(log(lines));
    expect(result.repairs).toEqual([
      expect.stringMatching(
        /^Sorted the rows by time: 30 rows out of order \(line 13, 14, 15, 16, 17 and 25 more\)\.$/,
      ),
    ]);
    expect(judged(result)).toEqual(judged(whole));
  });

  it('any order of the rows gives the same bits, newest first included', async () => {
    expect(judged(await assessed(log([...body].reverse())))).toEqual(judged(whole));
    await fc.assert(
      fc.asyncProperty(fc.shuffledSubarray(body, { minLength: body.length }), async (lines) => {
        expect(judged(await assessed(log(lines)))).toEqual(judged(whole));
      }),
      { numRuns: 20 },
    );
  });

  it('a stretch that stands in the wrong place is put back, and is not taken for a second log', async () => {
    const result = await assessed(log([...body.slice(0, 30), ...body.slice(60), ...body.slice(30, 60)]));
    expect(result.repairs.join()).toContain('30 rows out of order');
    expect(judged(result)).toEqual(judged(whole));
  });

  it('duplicates are dropped, with how many and where', async () => {
    const result = await assessed(log([...body.slice(0, 20), body[19]!, body[19]!, ...body.slice(20)]));
    expect(result.repairs).toEqual(['Dropped 2 duplicates of a moment (line 22, 23).']);
    expect(judged(result)).toEqual(judged(whole));
  });

  it('rows sent again by a logger that had lost its link are dropped', async () => {
    const result = await assessed(log([...body.slice(0, 60), ...body.slice(30)]));
    expect(result.repairs.join(' ')).toMatch(/Dropped 30 duplicates/);
    expect(judged(result)).toEqual(judged(whole));
  });

  it('of two readings of one moment the colder is kept, and that is said', async () => {
    const result = await assessed(log([...body.slice(0, 20), '1140,40', ...body.slice(20)]));
    expect(result.repairs).toEqual([
      'Dropped 1 duplicate of a moment (line 22); where they differed the colder reading was kept.',
    ]);
    expect(judged(result)).toEqual(judged(await assessed(log(replaced({ 19: '1140,40' })))));
  });

  it.each([
    ['a word', '600,Err'],
    ['a blank', '600,'],
    ['dashes', '600,---'],
    ['an open circuit', '600,OL'],
    ['a missing cell', '600'],
    ['a formula error', '600,#N/A'],
    ['not a number', '600,NaN'],
    ['infinity', '600,inf'],
    ['a time that is a word', 'noon,55'],
    ['a blank time', ',55'],
    ['the code of a missing sensor', '600,-127'],
    ['a line of text', 'battery low'],
  ])('%s in a cell is skipped, with its line', async (_what, line) => {
    const result = await assessed(log(replaced({ 10: line })));
    expect(result.repairs).toEqual(['Skipped 1 row with an unreadable or blank time or bath (line 12).']);
    expect(judged(result)).toEqual(judged(await assessed(log(without(10)))));
  });

  it('many unreadable cells are counted, and only the first are named', async () => {
    const changes = Object.fromEntries([3, 20, 37, 54, 71, 88, 105].map((i) => [i, `${i * 60},?`]));
    const result = await assessed(log(replaced(changes)));
    expect(result.repairs).toEqual([
      'Skipped 7 rows with an unreadable or blank time or bath (line 5, 22, 39, 56, 73 and 2 more).',
    ]);
  });

  it('a run of 85 C that the bath would have had to jump into is a sensor that lost its supply, and a gap', async () => {
    const lost = await assessed(csvOf(rowsOf(14_400, 60, (s) => (s >= 6000 && s < 9600 ? 85 : 62))));
    expect(lost.repairs.join()).toContain('Took 60 readings of 85 C');
    expect(lost.gaps.found).toEqual([{ fromS: 5940, toS: 9600 }]);
    expect(lost.core.maxC).toBeLessThan(62.1);
    const toTheEnd = await assessed(csvOf(rowsOf(14_400, 60, (s) => (s >= 12_000 ? 85 : 62))));
    expect(toTheEnd.durationS).toBe(11_940);
    // A bath that was heated there in twenty minutes, and one whose rows are an hour apart.
    const heated = await assessed(
      csvOf(rowsOf(14_400, 60, (s) => Math.min(85, 62 + Math.max(0, s - 6000) / 52))),
    );
    expect(heated.repairs).toEqual([]);
    const sparse = await assessed(csvOf(rowsOf(28_800, 3600, (s) => (s > 7200 && s < 18_000 ? 85 : 62))));
    expect(sparse.core.maxC).toBeGreaterThan(80);
  });

  it('a lone 85 C is a sensor that was just switched on; a bath at 85 C is not', async () => {
    const result = await assessed(log(replaced({ 0: '0,85', 50: '3000,85.0' })));
    expect(result.repairs[0]).toBe(
      'Took 2 lone readings of 85 C for a sensor that had just been switched on (line 2, 52).',
    );
    expect(result.lethality[0]!.log10).toBeLessThanOrEqual(whole.lethality[0]!.log10 + 1e-6);
    const hot = await assessed(csvOf(rowsOf(7200, 60, () => 85)));
    expect(hot.repairs).toEqual([]);
    expect(hot.core.endC).toBeGreaterThan(84);
  });

  it('a clock set back an hour as summer time ended is told on, with a caution', async () => {
    const at = (s: number) => new Date(Date.UTC(2026, 9, 25, 2, 0, 0) + s * 1000).toISOString().slice(0, 19);
    const lines = rows.map(([s, c]) => `${at(s < 3600 ? s : s - 3600)},${c}`);
    const result = await assessed(log(lines));
    expect(result.durationS).toBe(7200);
    expect(result.repairs.join()).toContain('set back an hour at line 62');
    expect(result.cautions.join()).toContain('names no time zone');
    expect(result.core.endC).toBeCloseTo(whole.core.endC, 6);
  });

  it.each([
    ['oldest first', false],
    ['newest first', true],
  ])('a clock that passes midnight in the night is told on, %s', async (_order, reversed) => {
    const clock = (s: number) => new Date((79_200 + s) * 1000).toISOString().slice(11, 19);
    const lines = rowsOf(28_800, 60, () => 58).map(([s, c]) => `${clock(s)},${c}`);
    const result = await assessed(log(reversed ? lines.reverse() : lines));
    expect(result.durationS).toBe(28_800);
    expect(result.repairs.join()).toContain('passed midnight');
    expect(result.gaps.found).toEqual([]);
  });

  it('elapsed h:mm:ss in no order, or beyond 24 h, is not taken for a clock that passed midnight', async () => {
    const hms = (s: number) =>
      `${Math.floor(s / 3600)}:${String(Math.floor(s / 60) % 60).padStart(2, '0')}:00`;
    const shuffled = rowsOf(72_000, 600, () => 58).map(([s, c]) => `${hms(s)},${c}`);
    const mixed = shuffled.map((_, i) => shuffled[(i * 37) % shuffled.length]!);
    expect((await assessed(log(mixed))).durationS).toBe(72_000);
    const long = rowsOf(180_000, 600, () => 58).map(([s, c]) => `${hms(s)},${c}`);
    expect((await assessed(log([...long.slice(150), ...long.slice(0, 150)]))).durationS).toBe(180_000);
  });

  it('a core column with holes is used where it can be read', async () => {
    const lines = rows.map(([s, c]) => `${s},${c},${s % 120 ? '' : Math.min(50, 5 + s / 100)}`);
    const result = await assessed(`time,bath_c,core_c\n${lines.join('\n')}\n`);
    expect(result.repairs).toEqual(['The core was not readable in 60 rows; the model alone counts there.']);
  });

  it('several faults at once are all repaired and all said', async () => {
    const lines = replaced({ 5: '300,Err', 70: '4200,85' }).filter((_, i) => i < 80 || i > 100);
    [lines[10], lines[11]] = [lines[11]!, lines[10]!];
    lines.splice(30, 0, lines[29]!);
    const { repairs } = await assessed(`\ufeffHut log\n${log(lines).replaceAll('\n', '\r\n')}`);
    expect(repairs.map((said) => said.split(' ')[0])).toEqual([
      'Left',
      'Took',
      'Skipped',
      'Sorted',
      'Dropped',
      'Bridged',
    ]);
  });
});

describe('a log that is whole', () => {
  it('has nothing repaired, and still its cautions', () => {
    expect(whole.repairs).toEqual([]);
    expect(whole.cautions.join(' ')).toContain('decides under the local code');
    expect(whole.cautions.join(' ')).toContain('spores');
  });

  it('in F that never was warm is doubted', async () => {
    const result = await assessed(`time,bath_f\n0,61\n600,62\n1200,60\n`);
    expect(result.cautions[0]).toMatch(/Read as F, the bath was never over 16.7 C/);
  });
});

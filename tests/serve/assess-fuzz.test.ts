import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { assessArgs, assessLog, csvOf, logFile, PIECE, rowsOf, type Said } from './assess-run.ts';

/** Either one JSON document and nothing else, or a message and nothing else; never a crash. */
function isAnswered({ code, out, err }: Said): void {
  if (code === 0) {
    expect(err).toBe('');
    const result = JSON.parse(out);
    // What is not a number would have become null on the way.
    for (const value of [
      result.core.endC,
      result.core.maxC,
      result.comeUp.seconds,
      result.dangerZoneS,
      result.growth[0].log10,
      result.envelope.core.endC,
      result.tender.equivalentHoursAt70C,
    ]) {
      expect(typeof value).toBe('number');
    }
    for (const { log10 } of [...result.lethality, ...result.envelope.lethality])
      expect(log10).toBeGreaterThanOrEqual(0);
    return;
  }
  expect(err).toMatch(/^(?:bathkeeper assess: .+\n)+$/);
  expect({ code, out }).toEqual({ code: 2, out: '' });
}

const good = csvOf(rowsOf(3600, 60, (s) => 55 + (s % 600) / 100));
const anyBytes = fc.uint8Array({ maxLength: 400 });

/** Cells that logs have, and some that they should not. */
const cell = fc.oneof(
  fc.integer({ min: -100, max: 4000 }).map(String),
  fc.double({ min: -50, max: 120, noNaN: true }).map((n) => n.toFixed(2)),
  fc.double({ min: -50, max: 120, noNaN: true }).map((n) => n.toFixed(1).replace('.', ',')),
  fc.integer({ min: 0, max: 86_400 }).map((s) => new Date(1.79e12 + s * 1000).toISOString()),
  fc
    .integer({ min: 0, max: 86_400 })
    .map(
      (s) =>
        `${Math.floor(s / 3600)}:${String(Math.floor(s / 60) % 60).padStart(2, '0')}:${String(s % 60).padStart(2, '0')}`,
    ),
  fc.constantFrom(
    '',
    ' ',
    'Err',
    'NaN',
    'Infinity',
    '-127',
    '85',
    '60 C',
    '140 °F',
    '"',
    '""',
    '1e9',
    '1e400',
    '0x10',
    "'60",
    '#',
    'time',
    'bath_c',
    '03/04/2026 10:00',
    '2026-02-30T10:00:00Z',
    '1791000000',
    '1791000000000',
    '\u0000',
    '\ud83d\ude00',
  ),
);

describe('whatever is in the file', () => {
  it('arbitrary bytes are answered with a result or a refusal', async () => {
    await fc.assert(
      fc.asyncProperty(anyBytes, async (bytes) => isAnswered(await assessLog(bytes))),
      { numRuns: 300 },
    );
  });

  it('a log with arbitrary bytes written over, put in or cut out is answered with a result or a refusal', async () => {
    await fc.assert(
      fc.asyncProperty(
        fc.array(fc.tuple(fc.nat(good.length), fc.nat(12), fc.uint8Array({ maxLength: 6 })), {
          minLength: 1,
          maxLength: 8,
        }),
        async (changes) => {
          let bytes = Buffer.from(good);
          for (const [at, cut, put] of changes)
            bytes = Buffer.concat([bytes.subarray(0, at), put, bytes.subarray(at + cut)]);
          isAnswered(await assessLog(bytes));
        },
      ),
      { numRuns: 300 },
    );
  });

  it('any table of the cells that loggers write is answered with a result or a refusal', async () => {
    await fc.assert(
      fc.asyncProperty(
        fc.constantFrom(
          'time,bath_c',
          'time;bath_f',
          'time\tbath',
          'a,b,c',
          '',
          'date,time,bath_c',
          'time,bath_c,core_c',
        ),
        fc.constantFrom(',', ';', '\t'),
        fc.array(fc.array(cell, { minLength: 1, maxLength: 4 }), { maxLength: 30 }),
        async (header, delimiter, table) => {
          const text = [header, ...table.map((row) => row.join(delimiter))].join('\n');
          isAnswered(await assessLog(text));
        },
      ),
      { numRuns: 300 },
    );
  });

  it('any cook at any spacing is answered with a result, whatever the piece', async () => {
    await fc.assert(
      fc.asyncProperty(
        fc.array(fc.tuple(fc.integer({ min: 1, max: 5000 }), fc.double({ min: -5, max: 100, noNaN: true })), {
          minLength: 2,
          maxLength: 40,
        }),
        fc.constantFrom(
          'slab',
          'cylinder',
          'sphere',
          '0.28',
          'brick',
          'finite-cylinder',
          'brick:1:9',
          'finite-cylinder:0.1',
        ),
        fc.integer({ min: 5, max: 200 }),
        fc.integer({ min: -1, max: 40 }),
        async (steps, shape, mm, startC) => {
          let s = 0;
          const rows = steps.map(([step, celsius]): [number, number] => {
            s += step;
            return [s, celsius];
          });
          const said = await assessLog(
            csvOf(rows),
            '--shape',
            shape,
            '--thickness',
            `${mm}mm`,
            '--start',
            `${startC}C`,
            '--series',
            '600',
          );
          expect(said.err).toBe('');
          isAnswered(said);
        },
      ),
      { numRuns: 100 },
    );
  });
});

describe('whatever the flags', () => {
  it('arbitrary words are answered with a result, help or a refusal', async () => {
    const path = logFile(good);
    const flag = fc.constantFrom(
      '--shape',
      '--thickness',
      '--start',
      '--cut',
      '--diffusivity',
      '--conductivity',
      '--film',
      '--time-column',
      '--bath-column',
      '--core-column',
      '--unit',
      '--series',
      '--profile',
      '--cold-spot',
    );
    const word = fc.oneof(
      fc.string({ maxLength: 8 }),
      fc.constantFrom(
        'slab',
        '40mm',
        '5C',
        '-1C',
        'lamb-leg',
        '1.3e-7',
        '1',
        '2',
        'time',
        'C',
        'F',
        '60',
        '-',
        '--',
        'NaN',
      ),
    );
    await fc.assert(
      fc.asyncProperty(fc.array(fc.tuple(flag, word), { maxLength: 5 }), async (pairs) => {
        const said = await assessArgs(path, ...PIECE, '--json', ...pairs.flat());
        isAnswered(said);
      }),
      { numRuns: 300 },
    );
  });
});

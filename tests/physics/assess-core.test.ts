import { afterAll, describe, expect, it } from 'vitest';
import { assessed, csvOf } from '../serve/assess-run.ts';
import { type Case, duhamel, type Piece, theta, waterAt } from './food-reference.ts';

/**
 * The core that `assess` prints, against separation of variables and Duhamel's integral over its modes (Incropera et
 * al. ch. 5, see food-reference.ts), through the command line from a CSV.
 */
const material = { diffusivity: 1.3e-7, conductivity: 0.48, film: 200 };
const flags = ['--diffusivity', '1.3e-7', '--conductivity', '0.48', '--film', '200'];
const bodies = [
  { shape: 'slab', beta: 0, mm: 40 },
  { shape: 'cylinder', beta: 1, mm: 60 },
  { shape: 'sphere', beta: 2, mm: 70 },
  { shape: '0.28', beta: 0.28, mm: 55 },
  { shape: 'slab', beta: 0, mm: 6 },
] as const;

/** A dip when the food goes in, a hold, three hours without power, and back: bends that a log has rows at. */
const history: Piece[] = [
  { seconds: 1200, fromC: 66, toC: 58 },
  { seconds: 3600, fromC: 58, toC: 66 },
  { seconds: 6000, fromC: 66, toC: 66 },
  { seconds: 10_800, fromC: 66, toC: 48 },
  { seconds: 2400, fromC: 48, toC: 66 },
  { seconds: 6000, fromC: 66, toC: 66 },
];
const held: Piece[] = [{ seconds: 30_000, fromC: 65, toC: 65 }];

function bathOf(pieces: readonly Piece[], s: number): number {
  let begin = 0;
  for (const piece of pieces) {
    if (s < begin + piece.seconds) return waterAt(piece, s - begin);
    begin += piece.seconds;
  }
  return waterAt(pieces.at(-1)!, pieces.at(-1)!.seconds);
}

const total = (pieces: readonly Piece[]) => pieces.reduce((sum, { seconds }) => sum + seconds, 0);

/** Even rows, or rows at the spacings given in turn; the bends of the history are rows too. */
function logOf(pieces: readonly Piece[], spacings: readonly number[]): (readonly [number, number])[] {
  const end = total(pieces);
  const times = new Set<number>([end]);
  for (let s = 0, i = 0; s < end; s += spacings[i++ % spacings.length]!) times.add(s);
  let bend = 0;
  for (const { seconds } of pieces) {
    bend += seconds;
    times.add(bend);
  }
  return [...times].sort((a, b) => a - b).map((s) => [s, bathOf(pieces, s)]);
}

const worst: Record<string, number> = {};
afterAll(() => {
  for (const [name, k] of Object.entries(worst)) console.log(`${name}: largest deviation ${k.toFixed(4)} C`);
});

const spacings: readonly (readonly [string, readonly number[]])[] = [
  ['1 s', [1]],
  ['60 s', [60]],
  ['600 s', [600]],
  ['uneven spacing of 1 to 600 s', [600, 7, 230, 1, 45, 600, 333, 90, 12]],
];

describe.each([
  ['a held bath', held],
  ['a dip, a power cut and a recovery', history],
])('the core of the middle case in %s', (name, pieces) => {
  it.each(spacings)(
    'is within 0.02 C of the exact solution at every point, rows at %s',
    async (spacing, every) => {
      const csv = csvOf(logOf(pieces, every));
      for (const { shape, beta, mm } of every[0] === 1 ? bodies.slice(0, 2) : bodies) {
        const body: Case = { beta, radiusM: mm / 2000, startC: 5, ...material };
        const result = await assessed(
          csv,
          '--shape',
          shape,
          '--thickness',
          `${mm}mm`,
          ...flags,
          '--series',
          '500',
        );
        expect(result.core.series!.length).toBe(Math.floor(total(pieces) / 500) + 1);
        for (const [s, core] of result.core.series!) {
          // In the first instants the series of modes does not converge; the core has not moved then.
          if (s < (0.03 * (mm / 2000) ** 2) / material.diffusivity) continue;
          const off = Math.abs(core - duhamel(body, pieces, s).core);
          worst[`${name}, ${spacing}`] = Math.max(worst[`${name}, ${spacing}`] ?? 0, off);
          expect(off, `${shape} at ${s} s`).toBeLessThan(0.02);
        }
        const end = duhamel(body, pieces, total(pieces)).core;
        expect(Math.abs(result.core.endC - end)).toBeLessThan(0.02);
      }
    },
  );
});

describe('the core of a brick and of a cylinder with ends', () => {
  const half = 0.02;
  const biot = (radius: number) => (material.film * radius) / material.conductivity;
  const fourier = (s: number, radius: number) => (material.diffusivity * s) / radius ** 2;
  const part = (beta: number, times: number, s: number) =>
    theta(beta, biot(half * times), fourier(s, half * times));
  const shapes: readonly (readonly [string, (s: number) => number])[] = [
    ['brick', (s) => part(0, 1, s) * part(0, 1.5, s) * part(0, 2.5, s)],
    ['brick:1:1', (s) => part(0, 1, s) ** 3],
    ['brick:3:20', (s) => part(0, 1, s) * part(0, 3, s) * part(0, 20, s)],
    ['finite-cylinder', (s) => part(1, 1, s) * part(0, 2, s)],
    ['finite-cylinder:0.5', (s) => part(1, 2, s) * part(0, 1, s)],
  ];
  /** Duhamel's integral over the product, by the midpoint rule on short steps of the water; R is 1 - theta. */
  const exactCore = (left: (s: number) => number, pieces: readonly Piece[], at: number) => {
    const step = 30;
    let core = 5 + (bathOf(pieces, 0) - 5) * (1 - left(at));
    for (let s = step / 2; s < at; s += step) {
      const rise = bathOf(pieces, s + step / 2) - bathOf(pieces, s - step / 2);
      if (rise !== 0) core += rise * (1 - left(at - s));
    }
    return core;
  };

  it.each(shapes)(
    '%s: within 0.02 C of the product of its crossed slabs and cylinders (Incropera 5.8) in a held bath',
    async (shape, left) => {
      const result = await assessed(csvOf(logOf(held, [60])), '--shape', shape, ...flags, '--series', '300');
      for (const [s, core] of result.core.series!) {
        if (s > 0 && s < 100) continue;
        const exact = s === 0 ? 5 : 65 - 60 * left(s);
        worst[`${shape}, held`] = Math.max(worst[`${shape}, held`] ?? 0, Math.abs(core - exact));
        expect(Math.abs(core - exact), `at ${s} s`).toBeLessThan(0.02);
      }
    },
  );

  it.each(shapes)(
    "%s: within 0.02 C of Duhamel's integral over that product in a bath that dips and loses power",
    async (shape, left) => {
      for (const every of [[600], [11, 300, 47, 600]]) {
        const result = await assessed(
          csvOf(logOf(history, every)),
          '--shape',
          shape,
          ...flags,
          '--series',
          '7500',
        );
        for (const [s, core] of result.core.series!) {
          if (s === 0) continue;
          const off = Math.abs(core - exactCore(left, history, s));
          worst[`${shape}, history`] = Math.max(worst[`${shape}, history`] ?? 0, off);
          expect(off, `at ${s} s, rows at ${every}`).toBeLessThan(0.02);
        }
      }
    },
  );
});

import { afterAll, describe, expect, it } from 'vitest';
import { coreC, makeGrid, runProfile, startProfile } from '../../shared/food/conduction.ts';
import { type Case, duhamel, type Piece, waterAt } from './food-reference.ts';

const hour = 3600;

/** Water as a bath really does it, in pieces that Duhamel's integral takes exactly. */
const histories: Record<string, Piece[]> = {
  'a ramp from cold': [
    { seconds: 2 * hour, fromC: 12, toC: 74 },
    { seconds: 4 * hour, fromC: 74, toC: 74 },
  ],
  'an exponential heat-up': [{ seconds: 6 * hour, fromC: 20, towardC: 80, rate: 1 / 2400 }],
  'a power cut of three hours': [
    { seconds: 2 * hour, fromC: 68, toC: 68 },
    { seconds: 3 * hour, fromC: 68, towardC: 18, rate: 1 / (7 * hour) },
    { seconds: 0.75 * hour, fromC: 50.57, toC: 68 },
    { seconds: 2 * hour, fromC: 68, toC: 68 },
  ],
  'a dip when cold food goes in, then a chill in ice water': [
    { seconds: 600, fromC: 65, toC: 59 },
    { seconds: 1800, fromC: 59, toC: 65 },
    { seconds: 3 * hour, fromC: 65, toC: 65 },
    { seconds: 2 * hour, fromC: 1, toC: 1 },
  ],
};

const bodies: Case[] = [
  { beta: 0, radiusM: 0.0125, diffusivity: 1.4e-7, conductivity: 0.48, film: 95, startC: 5 },
  { beta: 0.28, radiusM: 0.03, diffusivity: 1.11e-7, conductivity: 0.4, film: 300, startC: 5 },
  { beta: 1, radiusM: 0.02, diffusivity: 1.3e-7, conductivity: 0.45, film: 500, startC: 5 },
  { beta: 2, radiusM: 0.035, diffusivity: 1.25e-7, conductivity: 0.5, film: 60, startC: 20 },
];

/** Rows at any times of a history; at a kink of the water there is always a row, as a log has one. */
function rowsOf(
  pieces: readonly Piece[],
  spacing: (row: number) => number,
): { seconds: number[]; waterC: number[] } {
  const seconds: number[] = [];
  const waterC: number[] = [];
  let begin = 0;
  let row = 0;
  for (const piece of pieces) {
    for (let t = 0; t < piece.seconds; t += spacing(row)) {
      row++;
      seconds.push(begin + t);
      waterC.push(waterAt(piece, t));
    }
    begin += piece.seconds;
    seconds.push(begin);
    waterC.push(waterAt(piece, piece.seconds));
  }
  return { seconds, waterC };
}

const worst: Record<string, number> = {};
afterAll(() => {
  for (const [name, deviation] of Object.entries(worst)) console.log(`${name}: ${deviation.toFixed(4)} C`);
});

function compare(
  name: string,
  body: Case,
  pieces: readonly Piece[],
  spacing: (row: number) => number,
): number {
  const { beta, radiusM, diffusivity, conductivity, film, startC } = body;
  const grid = makeGrid({ thicknessM: 2 * radiusM, beta, diffusivity, conductivity });
  const log = rowsOf(pieces, spacing);
  let deviation = 0;
  const every = Math.ceil(log.seconds.length / 150);
  runProfile(grid, startProfile(grid, startC), { ...log, film }, (row, profile) => {
    const elapsed = log.seconds[row]!;
    if (
      (row % every !== 0 && row !== log.seconds.length - 1) ||
      (elapsed * diffusivity) / radiusM ** 2 < 0.005
    )
      return;
    // At a jump of the water the row before belongs to the piece before; both have the same profile.
    const exact = duhamel(body, pieces, elapsed);
    deviation = Math.max(deviation, Math.abs(coreC(profile) - exact.core));
  });
  worst[name] = Math.max(worst[name] ?? 0, deviation);
  return deviation;
}

describe("the solver against Duhamel's integral", () => {
  for (const [name, pieces] of Object.entries(histories)) {
    it(`follows ${name} within 0.02 C at rows of 1 s and of 10 s`, () => {
      for (const body of bodies) {
        expect(compare(`${name}, 1 s`, body, pieces, () => 1)).toBeLessThan(0.02);
        expect(compare(`${name}, 10 s`, body, pieces, () => 10)).toBeLessThan(0.02);
      }
    });
  }

  it('follows straight pieces within 0.02 C at rows of 600 s, of hours, and at irregular rows with gaps', () => {
    for (const [name, pieces] of Object.entries(histories)) {
      if (pieces.some((piece) => 'rate' in piece)) continue;
      for (const body of bodies) {
        expect(compare(`${name}, 600 s`, body, pieces, () => 600)).toBeLessThan(0.02);
        expect(compare(`${name}, hours`, body, pieces, () => 5 * hour)).toBeLessThan(0.02);
        expect(
          compare(`${name}, irregular`, body, pieces, (row) => [1, 3, 0.2, 47, 900, 2, 2500][row % 7]!),
        ).toBeLessThan(0.02);
      }
    }
  });

  it('misses a curved history at rows of 600 s by no more than the straight lines between its rows do', () => {
    // A straight line between rows of an exponential is off by at most (rate x spacing)2 / 8 of its swing:
    // (600/2400)2 / 8 x 60 C is 0.47 C for the heat-up, (600/25200)2 / 8 x 50 C is 0.004 C for the outage.
    for (const body of bodies) {
      expect(compare('heat-up, 600 s', body, histories['an exponential heat-up']!, () => 600)).toBeLessThan(
        0.47,
      );
      expect(
        compare('power cut, 600 s', body, histories['a power cut of three hours']!, () => 600),
      ).toBeLessThan(0.02);
    }
  });
});

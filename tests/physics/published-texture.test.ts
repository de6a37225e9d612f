import { describe, expect, it } from 'vitest';
import { coreC, makeGrid, startProfile, stepProfile } from '../../shared/food/conduction.ts';
import { priorBelief, readyProbability } from '../../shared/tender/belief.ts';
import { tenderClass } from '../../shared/tender/classes.ts';
import { addTender, EA_VALUES, startTender, tenderRate } from '../../shared/tender/kinetics.ts';
import { moistureLoss } from '../../shared/tender/moisture.ts';

/** Published figures of texture, juice and heating-up that no other test of this folder reproduces. */

const R = 8.31446261815324e-3;
const kelvin = (celsius: number) => celsius + 273.15;

/** Slope of ln(hours) over 1/(R T), one for all groups with an intercept each: activation energy, kJ/mol. */
function activation(groups: readonly (readonly (readonly [celsius: number, hours: number])[])[]): number {
  let above = 0;
  let below = 0;
  for (const points of groups) {
    const x = points.map(([c]) => 1 / (R * kelvin(c)));
    const y = points.map(([, h]) => Math.log(h));
    const mean = (values: readonly number[]) => values.reduce((a, b) => a + b, 0) / values.length;
    const [mx, my] = [mean(x), mean(y)];
    points.forEach((_, i) => {
      above += (x[i]! - mx) * (y[i]! - my);
      below += (x[i]! - mx) ** 2;
    });
  }
  return above / below;
}

/** Pork shoulder to full tenderness, culinary test-kitchen experiment (secondary source), degrees F 140, 158, 176, 194. */
const A = [
  [60, 31],
  [70, 16],
  [80, 7],
  [90, 2],
] as const;
/** Pork shoulder to shreds, science-minded cookbook (secondary source). */
const B = [
  [71.1, 36],
  [96.1, 3],
] as const;

describe('the activation energy of softening', () => {
  it('is that of the two pork shoulder reports: 90.6 by the first, 105.0 by the second, 95.8 together; 72.7 from 60 to 80 C and 133 above', () => {
    const fits: readonly (readonly [number, number])[] = [
      [activation([A]), 90.6],
      [activation([B]), 105],
      [activation([A, B]), 95.8],
      [activation([A.slice(0, 3)]), 72.7],
      [activation([A.slice(2)]), 133],
    ];
    const worst = Math.max(...fits.map(([ours, published]) => Math.abs(ours / published - 1)));
    console.log(
      `activation energies ${fits.map(([ea]) => ea.toFixed(1)).join(', ')} kJ/mol: ${(100 * worst).toFixed(1)} % off at most`,
    );
    expect(worst).toBeLessThan(0.01);
    // All of them, and those of gelatine from fish scales (Olatunji & Denloye 2017: 61 and 84), lie among the values carried.
    for (const [, ea] of fits) expect(ea < EA_VALUES[0]! || ea > EA_VALUES.at(-1)!).toBe(false);
    expect(EA_VALUES[0]).toBeLessThan(61.4);
  });

  it('of one value, 90.6 kJ/mol, puts the second report 2.52 times later than the first: shreds against fork-tender, taken as 2', () => {
    const at = (points: typeof A | typeof B, ea: number) =>
      points.reduce(
        (s, [c, h]) => s + Math.log(h * Math.exp(-(ea / R) * (1 / kelvin(c) - 1 / kelvin(70)))),
        0,
      ) / points.length;
    const ratio = Math.exp(at(B, 95.8) - at(A, 95.8));
    expect(ratio).toBeCloseTo(2.52, 1);
  });
});

describe('published times of tough cuts', () => {
  const odds = (
    id: string,
    celsius: number,
    hours: number,
    endpoint: 'fork-tender' | 'shreds' = 'fork-tender',
  ) => {
    const c = tenderClass(id);
    const soft = EA_VALUES.map((ea) => hours * tenderRate(celsius, ea));
    return readyProbability(c, priorBelief(c), { endpoint, tests: [] }, soft);
  };
  /** Class, core C, hours, what was found, endpoint. A published time is no surprise where its odds are 5 to 95 %. */
  const FOUND: readonly [string, number, number, string, ('fork-tender' | 'shreds')?][] = [
    ['pork_shoulder_neck', 60, 31, 'full tenderness (test kitchen)'],
    ['pork_shoulder_neck', 70, 16, 'full tenderness (test kitchen)'],
    ['pork_shoulder_neck', 80, 7, 'full tenderness (test kitchen)'],
    ['pork_shoulder_neck', 71.1, 36, 'shreds (cookbook)', 'shreds'],
    [
      'lamb_shoulder_shank',
      88,
      2.3,
      '2 h at 90 C chosen of 1 to 5 h (Udomvarapant 2006), as long at 88 C, the end of the range',
    ],
    ['beef_chuck_short_rib_brisket', 85, 3, 'a 3 h hold at 85 C equals 90 C (Kerth et al.)'],
    ['beef_chuck_short_rib_brisket', 60, 48, '24 to 48 h at 60 C (Bouton & Harris 1981)'],
  ];

  it.each(FOUND)(
    'of %s at %d C, %d h: are no surprise to the prior',
    (id, celsius, hours, what, endpoint) => {
      const p = odds(id, celsius, hours, endpoint);
      console.log(`${id} ${celsius} C ${hours} h (${what}): P(ready) ${p.toFixed(2)}`);
      expect(p).toBeGreaterThan(0.05);
      expect(p).toBeLessThan(0.95);
    },
  );
});

describe('juice lost', () => {
  const loss = (celsius: number, hours: number) =>
    moistureLoss(addTender(startTender(), celsius, celsius, hours * 3600))!;

  it('after a night is the plateau of the reference, 29, 31, 33, 34.5, 36, 37 % at 60 to 85 C, within a tenth of a point', () => {
    const rows = [
      [60, 29],
      [65, 31],
      [70, 33],
      [75, 34.5],
      [80, 36],
      [85, 37],
    ] as const;
    const off = rows.map(([c, percent]) => Math.abs(loss(c, 14).middlePercent - percent));
    console.log(`plateau of juice: largest deviation ${Math.max(...off).toFixed(2)} points`);
    expect(Math.max(...off)).toBeLessThan(0.1);
  });

  it('of duck breast in short cooks (Chang et al. 2023) is up to 5 points over the middle, inside the band: another cut, and hours too few', () => {
    const rows = [
      [65, 1, 19.55],
      [65, 1.5, 20.82],
      [65, 2, 24.56],
      [70, 1.5, 29.2],
    ] as const;
    const off = rows.map(([c, h, percent]) => percent - loss(c, h).middlePercent);
    console.log(`duck breast: ${off.map((k) => k.toFixed(1)).join(', ')} points over the middle`);
    // Measured on pork shoulder after hours; a breast loses its juice sooner. Told as a weakness; bounded here.
    for (const k of off) expect(Math.abs(k)).toBeLessThan(5);
  });

  it('orders beef roasts by temperature as their moisture left does (69.7, 64.7, 60.3 % at 60, 71, 80 C)', () => {
    const left = [60, 71, 80].map((c) => loss(c, 3).middlePercent);
    expect(left[0]!).toBeLessThan(left[1]!);
    expect(left[1]!).toBeLessThan(left[2]!);
  });
});

describe('heating up and chilling slabs', () => {
  // One-term slab, diffusivity 1.35e-7 m2/s, no resistance at the surface.
  const grid = (mm: number) =>
    makeGrid({ thicknessM: mm / 1000, beta: 0, diffusivity: 1.35e-7, conductivity: 0.48 });
  function minutesTo(mm: number, startC: number, waterC: number, targetC: number): number {
    const g = grid(mm);
    const done = (s: number) => {
      const core = coreC(
        stepProfile(g, startProfile(g, startC), { film: 9e5, fromC: waterC, toC: waterC }, s),
      );
      return startC < waterC ? core >= targetC : core <= targetC;
    };
    let [low, high] = [1, 1e5];
    while (high - low > 1) {
      const middle = (low + high) / 2;
      if (done(middle)) high = middle;
      else low = middle;
    }
    return high / 60;
  }

  it('takes the published minutes from 5 C: to 54.4 C in a bath of 60, and to within 1 C of 75', () => {
    const rows = [
      [25, 20, 35],
      [40, 51, 90],
      [60, 114, 202],
      [80, 202, 359],
    ] as const;
    const off = rows.flatMap(([mm, warm, hot]) => [
      minutesTo(mm, 5, 60, 54.4) - warm,
      minutesTo(mm, 5, 75, 74) - hot,
    ]);
    console.log(`heating up: ${off.map((m) => m.toFixed(1)).join(', ')} min off`);
    expect(Math.max(...off.map(Math.abs))).toBeLessThan(0.6);
  });

  it('takes the published minutes in ice slurry of 0 C, stirred: 75 to 21 C and on to 5 C', () => {
    const rows = [
      [25, 12, 23],
      [40, 30, 59],
      [60, 68, 133],
      [80, 121, 236],
    ] as const;
    const off = rows.flatMap(([mm, first, second]) => [
      minutesTo(mm, 75, 0, 21) - first,
      minutesTo(mm, 75, 0, 5) - second,
    ]);
    console.log(`chilling: ${off.map((m) => m.toFixed(1)).join(', ')} min off`);
    expect(Math.max(...off.map(Math.abs))).toBeLessThan(0.6);
  });
});

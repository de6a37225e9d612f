import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { KillEntry } from '../../controller/cli/assess/result.ts';
import { assessed, assessLog, csvOf, rowsOf } from '../serve/assess-run.ts';
import { publishedRows } from '../standards/published.ts';
import { type Case, duhamel, type Piece, waterAt } from './food-reference.ts';

const flags = ['--diffusivity', '1.3e-7', '--conductivity', '0.48', '--film', '200'];
const slab: Case = { beta: 0, radiusM: 0.02, diffusivity: 1.3e-7, conductivity: 0.48, film: 200, startC: 5 };

const killBy = (entries: readonly KillEntry[], id: string): KillEntry => {
  const entry = entries.find(({ standardId }) => standardId === id);
  if (!entry) throw new Error(`no entry for ${id}`);
  return entry;
};

/** Heating, a hold at 58 C, a dip to 54 and back: about ten log of Salmonella in chicken thigh. */
const cook: Piece[] = [
  { seconds: 3000, fromC: 30, toC: 58 },
  { seconds: 6000, fromC: 58, toC: 58 },
  { seconds: 1800, fromC: 58, toC: 54 },
  { seconds: 1200, fromC: 54, toC: 58 },
  { seconds: 3000, fromC: 58, toC: 58 },
];
const endS = 15_000;

function bath(s: number): number {
  let begin = 0;
  for (const piece of cook) {
    if (s <= begin + piece.seconds) return waterAt(piece, s - begin);
    begin += piece.seconds;
  }
  return 58;
}

/** When the exact core of food in a held bath reaches a temperature, s. */
function firstAt(body: Case, held: readonly Piece[], celsius: number): number {
  let [low, high] = [60, held[0]!.seconds];
  while (high - low > 0.01) {
    const middle = (low + high) / 2;
    if (duhamel(body, held, middle).core < celsius) low = middle;
    else high = middle;
  }
  return low;
}

/** Composite Simpson's rule. */
function simpson(f: (x: number) => number, from: number, to: number, parts: number): number {
  const h = (to - from) / parts;
  let sum = f(from) + f(to);
  for (let i = 1; i < parts; i++) sum += (i % 2 === 1 ? 4 : 2) * f(from + i * h);
  return (sum * h) / 3;
}

describe('kill along the core', () => {
  // Murphy et al. 2004, Poultry Science 83:1218-1225: D 43.33 min at 55 C, z 5.34 C, chicken thigh and leg meat.
  const rate = (celsius: number) => (celsius < 55 ? 0 : 10 ** ((celsius - 55) / 5.34) / (43.33 * 60));

  it.each([[10], [60], [600]])(
    'is within 0.01 log of the integral of the lethal rate along the exact core, rows at %d s (Bigelow; Murphy 2004; series of modes)',
    async (every) => {
      const result = await assessed(csvOf(rowsOf(endS, every, bath)), ...flags);
      const exact = simpson((s) => rate(s === 0 ? 5 : duhamel(slab, cook, s).core), 0, endS, 1500);
      const { log10 } = killBy(result.lethality, 'salmonella-chicken-thigh');
      console.log(`rows at ${every} s: ${log10.toFixed(4)} log, exact ${exact.toFixed(4)}`);
      expect(exact).toBeGreaterThan(3);
      expect(Math.abs(log10 - exact)).toBeLessThan(0.01);
    },
  );

  it('follows the worked general method from its own table of minutes and degrees F: within 0.02 log along straight lines, and never over its trapezoid (AMIF 2010)', async () => {
    // American Meat Institute Foundation (2010), worked example of the general method: Salmonella, meat patty,
    // Tref 150 F, z 10 F, D 0.172 min. The sheet's last four rows are cut off in the public copy.
    const degF = [40, 64, 82, 97, 113, 128, 138, 142, 145, 148, 145, 140, 137, 136, 135, 134, 133];
    const csv = `time_min,bath_f\n${degF.map((f, i) => `${i / 2},${f}`).join('\n')}\n`;
    // So thin that its core is at the water's temperature: what is left is the integral.
    const result = await assessed(csv, '--thickness', '1mm', '--film', '100000', '--start', '40F');
    const lethal = (f: number) => 10 ** ((f - 150) / 10);
    const at = (minutes: number) => {
      const i = Math.min(degF.length - 2, Math.floor(minutes * 2));
      return degF[i]! + (degF[i + 1]! - degF[i]!) * (minutes * 2 - i);
    };
    // The record counts from 130 F up, where the source's table begins; the sheet counts below too.
    const alongLines = simpson((m) => (at(m) >= 130 ? lethal(at(m)) : 0), 0, 8, 16_000) / 0.172;
    const trapezoid =
      degF.slice(1).reduce((sum, f, i) => sum + (lethal(f) + lethal(degF[i]!)) / 4, 0) / 0.172;
    const { log10 } = killBy(result.lethality, 'salmonella-meat-patty');
    console.log(
      `general method: ${log10.toFixed(3)} log, along straight lines ${alongLines.toFixed(3)}, trapezoid ${trapezoid.toFixed(3)}, published total 5.14`,
    );
    // F of the sheet at 133 F, by the trapezoid that reproduces its every printed value: 0.8741 min.
    expect(trapezoid).toBeCloseTo(0.8741 / 0.172, 3);
    expect(Math.abs(log10 - alongLines)).toBeLessThan(0.02);
    // A straight line between half-minute rows lies under the trapezoid on the rate, which is curved upward.
    expect(log10).toBeLessThan(trapezoid);
    expect(log10).toBeGreaterThan(0.8 * trapezoid);
  });

  it('meets the words of FSIS Table 2 when the first of its rows has been held for its time by the exact core, to 5 s (FSIS-GD-2021-0014)', async () => {
    const held: Piece[] = [{ seconds: 20_000, fromC: 61, toC: 61 }];
    const result = await assessed(csvOf(rowsOf(20_000, 60, () => 61)), ...flags);
    const { dwell, metAtS, metBy, equivalentMetAtS } = killBy(result.lethality, 'fsis-meat-6.5');
    const due = publishedRows('fsis-meat.csv').map((row) => {
      const celsius = Math.min((Number(row.degF) - 32) / 1.8, Number(row.printed_c));
      return celsius < 61 ? firstAt(slab, held, celsius) + Number(row.log65_s) : Number.POSITIVE_INFINITY;
    });
    expect(Math.abs(dwell!.metAtS! - Math.min(...due))).toBeLessThan(5);
    expect(metBy).toBe('dwell');
    expect(metAtS).toBe(dwell!.metAtS);
    // The integral counts what was earned on the way up, so it is there first; it stands beside, as an equivalent.
    expect(equivalentMetAtS!).toBeLessThan(metAtS!);
  });

  it('does not call FSIS Table 2 met by the integral alone, for a core that is never held long enough (FSIS-GD-2021-0014)', async () => {
    // 142 F (61.1 C) asks 8 min at a stretch. Each visit of this thin piece is shorter; together they are far more.
    const saw = rowsOf(12_000, 10, (s) => (s % 600 < 250 ? 61.5 : 48));
    const result = await assessed(csvOf(saw), ...flags, '--thickness', '5mm');
    const kill = killBy(result.lethality, 'fsis-meat-6.5');
    expect(kill.log10).toBeGreaterThan(2 * kill.targetLog10!);
    expect(kill.equivalentMetAtS).toBeGreaterThan(0);
    expect(kill).toMatchObject({ metAtS: null, metBy: null });
    const said = await assessLog(csvOf(saw), ...flags, '--thickness', '5mm', '--cut', 'lamb-shoulder');
    const verdict = (JSON.parse(said.out) as typeof result).verdicts.find((v) => v.rule === kill.standard)!;
    expect(verdict.status).toBe('not-yet');
    expect(verdict.words).toContain('an equivalent and not what the table words');
  });
});

describe('clocks along the core', () => {
  const held: Piece[] = [{ seconds: 30_000, fromC: 60, toC: 60 }];
  const reach = (celsius: number) => firstAt(slab, held, celsius);

  it('count come-up from 10.0 to 54.4 C and the danger zone from 4.4 to 60 C to 5 s (50, 130, 40, 140 F: FSIS; exact core by its modes)', async () => {
    const result = await assessed(csvOf(rowsOf(30_000, 600, () => 60)), ...flags);
    const expected = reach((130 - 32) / 1.8) - reach(10);
    expect(Math.abs(result.comeUp.seconds - expected)).toBeLessThan(5);
    expect(result.comeUp).toMatchObject({ limitS: 21_600, ok: true, status: 'kept' });
    // Food at 5 C is in the danger zone from the first second, and never quite reaches 60 C.
    expect(result.dangerZoneS).toBe(30_000);
  });

  it('call a come-up that is not over not ok and not broken, and one beyond six hours broken for good', async () => {
    const short = await assessed(csvOf(rowsOf(1800, 60, () => 60)), ...flags);
    expect(short.comeUp).toMatchObject({ ok: false, status: 'not-yet', doneAtS: null });
    const slow = await assessed(csvOf(rowsOf(40_000, 60, (s) => (s < 25_000 ? 50 : 70))), ...flags);
    expect(slow.comeUp).toMatchObject({ ok: false, status: 'broken' });
    expect(slow.core.endC).toBeGreaterThan(69);
    expect(slow.envelope.breaches[0]!.limit).toBe('come-up');
    expect(slow.verdicts[0]!.status).toBe('broken');
    expect(slow.verdicts[0]!.asks).toContain('person in charge');
  });

  it('follow food into the ice: cooling legs of Food Code 3-501.14 to 20 s of the exact core', async () => {
    const pieces: Piece[] = [
      { seconds: 14_400, fromC: 65, toC: 65 },
      { seconds: 60, fromC: 65, toC: 1 },
      { seconds: 14_340, fromC: 1, toC: 1 },
    ];
    const water = (s: number) => (s <= 14_400 ? 65 : s >= 14_460 ? 1 : 65 - ((s - 14_400) * 64) / 60);
    const result = await assessed(csvOf(rowsOf(28_800, 60, water)), ...flags, '--profile', 'us-food-code');
    const falls = (celsius: number) => {
      let s = 14_400;
      while (duhamel(slab, pieces, s).core > celsius) s += 5;
      return s;
    };
    const [two, six] = result.cooling!.rules[0]!.legs;
    expect(Math.abs(two!.elapsedS! - (falls(190 / 9) - falls(135 / 1.8 - 32 / 1.8)))).toBeLessThan(20);
    expect(Math.abs(six!.elapsedS! - (falls(5) - falls(103 / 1.8)))).toBeLessThan(20);
    expect(result.cooling!.ok).toBe(true);
    expect(result.hotHold.ok).toBe(true);
  });

  it('give an hour at 70 C as one equivalent hour, and Arrhenius at 95 kJ/mol elsewhere (design: Ea 95 kJ/mol, reference 70 C)', async () => {
    const hours = async (celsius: number) => {
      const csv = csvOf(rowsOf(36_000, 600, () => celsius));
      const result = await assessed(csv, '--thickness', '1mm', '--film', '100000', '--start', `${celsius}C`);
      return result.tender.equivalentHoursAt70C;
    };
    expect(await hours(70)).toBeCloseTo(10, 4);
    const factor = Math.exp((-95_000 / 8.314462618) * (1 / (62 + 273.15) - 1 / 343.15));
    expect((await hours(62)) / 10).toBeCloseTo(factor, 4);
    expect(await hours(54)).toBe(0);
  });

  it('grow C. perfringens at a steady 45 C as the published form says, by the faster model (Baranyi & Roberts 1994; Juneja 2011, beef; Le Marc 2008)', async () => {
    const csv = csvOf(rowsOf(4 * 3600, 600, () => 45));
    const result = await assessed(csv, '--thickness', '1mm', '--film', '100000', '--start', '45C');
    const juneja = (0.05 * (45 - 10.15)) ** 2 * (1 - Math.exp(0.238 * (45 - 53)));
    const leMarc =
      7.45 *
      (45 - 12.2) ** 2 *
      (1 - Math.exp(0.095 * (45 - 54.47))) *
      (1 - 0.9755) *
      (1 - 0.9755 + 1 - 1) *
      (6.25 - 4.76);
    const log10 = (perH: number, q0: number) => Math.log10((1 + q0 * Math.exp(4 * perH)) / (1 + q0));
    const expected = Math.max(log10(juneja, 0.0699), log10(leMarc, 0.0137));
    expect(result.growth[0]!.organism).toBe('C. perfringens');
    expect(result.growth[0]!.log10).toBeCloseTo(expected, 2);
  });
});

describe('each hazard on its own worst member', () => {
  it('never looks better than the middle, whatever the log and the shape', async () => {
    await fc.assert(
      fc.asyncProperty(
        fc.array(fc.double({ min: 2, max: 90, noNaN: true }), { minLength: 3, maxLength: 12 }),
        fc.constantFrom('slab', 'sphere', 'brick', 'finite-cylinder:0.4', '0.7'),
        fc.integer({ min: 8, max: 90 }),
        async (bends, shape, mm) => {
          const csv = csvOf(bends.map((celsius, i) => [i * 1500, Number(celsius.toFixed(2))] as const));
          const result = await assessed(csv, '--shape', shape, '--thickness', `${mm}mm`);
          result.lethality.forEach((entry, i) => {
            expect(result.envelope.lethality[i]!.standardId).toBe(entry.standardId);
            expect(result.envelope.lethality[i]!.log10).toBeLessThanOrEqual(entry.log10);
          });
          expect(result.envelope.growth[0]!.log10).toBeGreaterThanOrEqual(result.growth[0]!.log10);
          expect(result.envelope.comeUp.seconds).toBeGreaterThanOrEqual(result.comeUp.seconds - 1e-6);
          expect(result.envelope.core.endC).toBeLessThanOrEqual(result.core.endC);
          expect(result.envelope.core.hottestEndC).toBeGreaterThanOrEqual(result.core.endC);
          expect(result.envelope.core.maxC).toBeLessThanOrEqual(result.core.maxC);
          expect(result.envelope.dangerZoneS).toBeGreaterThanOrEqual(result.dangerZoneS);
        },
      ),
      { numRuns: 60 },
    );
  });
});

describe('what must be so of any cook', () => {
  const rising = fc
    .array(fc.double({ min: 0, max: 15, noNaN: true }), { minLength: 3, maxLength: 15 })
    .map((rises) => rises.map((_, i) => Math.min(90, 20 + rises.slice(0, i + 1).reduce((a, b) => a + b))));
  const log = (waters: readonly number[], warmer = 0) =>
    csvOf(waters.map((c, i) => [i * 900, c + warmer] as const));

  it('a hotter bath never kills less, and a thicker piece is never killed in more, in a bath that never falls', async () => {
    await fc.assert(
      fc.asyncProperty(
        rising,
        fc.integer({ min: 10, max: 80 }),
        fc.double({ min: 0.1, max: 5, noNaN: true }),
        async (waters, mm, more) => {
          const base = await assessed(log(waters), '--thickness', `${mm}mm`, ...flags);
          const hotter = await assessed(log(waters, more), '--thickness', `${mm}mm`, ...flags);
          const thicker = await assessed(log(waters), '--thickness', `${mm + 5}mm`, ...flags);
          base.lethality.forEach(({ log10, standard }, i) => {
            // A thousandth is what the solver's error in the core comes to.
            expect(hotter.lethality[i]!.log10, `hotter, ${standard}`).toBeGreaterThanOrEqual(log10 * 0.999);
            expect(thicker.lethality[i]!.log10, `thicker, ${standard}`).toBeLessThanOrEqual(log10 * 1.001);
          });
        },
      ),
      { numRuns: 30 },
    );
  });

  it('kill and growth never fall and no broken limit heals as the log goes on', async () => {
    await fc.assert(
      fc.asyncProperty(
        fc.array(fc.double({ min: 2, max: 80, noNaN: true }), { minLength: 4, maxLength: 20 }),
        async (waters) => {
          const [part, whole] = [await assessed(log(waters.slice(0, -2))), await assessed(log(waters))];
          whole.lethality.forEach(({ log10, metAtS }, i) => {
            const before = part.lethality[i]!;
            expect(log10).toBeGreaterThanOrEqual(before.log10);
            if (before.metAtS !== null) expect(metAtS).toBe(before.metAtS);
          });
          expect(whole.growth[0]!.log10).toBeGreaterThanOrEqual(part.growth[0]!.log10);
          const limits = whole.envelope.breaches.map(({ limit }) => limit);
          for (const { limit } of part.envelope.breaches) expect(limits).toContain(limit);
        },
      ),
      { numRuns: 40 },
    );
  });
});

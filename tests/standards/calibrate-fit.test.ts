import { describe, expect, it } from 'vitest';
import { applyCalibration, hardMaxCode, uncorrectedC } from '../../controller/rig/calibrate/apply.ts';
import { lineAt, standardOfLimit } from '../../controller/rig/calibrate/error-line.ts';
import { type CalibrationInput, calibrationFrom } from '../../controller/rig/calibrate/fit.ts';
import { settled } from '../../controller/rig/calibrate/settle.ts';
import { newRandom, uniformBetween } from '../../shared/units/random.ts';
import { type Calibration, calibrationSchema, calibrationsSchema } from '../../shared/wire/calibration.ts';
import { boilingPoint, icePoint, input, referencePoint } from './calibrate-points.ts';

function made(from: CalibrationInput): Calibration {
  const result = calibrationFrom(from);
  if (!result.ok) throw new Error(result.faults.map((fault) => fault.text).join('\n'));
  return result.calibration;
}

/**
 * JCGM 100:2008 (GUM), example H.3, table H.6: readings of a thermometer and the corrections found, degrees C. Values
 * copied from memory of the table; the results below are those the example prints.
 */
const GUM_H3 = [
  [21.521, -0.171],
  [22.012, -0.169],
  [22.512, -0.166],
  [23.003, -0.159],
  [23.507, -0.164],
  [23.999, -0.165],
  [24.513, -0.156],
  [25.002, -0.157],
  [25.503, -0.159],
  [26.01, -0.161],
  [26.511, -0.16],
] as const;

describe('the line through two points of a calibration', () => {
  it("predicts the correction and its uncertainty at 30 °C as the GUM's example H.3 prints them: -0.1494, 0.0041", () => {
    // A least-squares line is, with its uncertainty, the line through two independent points at mean +- spread.
    const n = GUM_H3.length;
    const mean = GUM_H3.reduce((sum, [t]) => sum + t, 0) / n;
    const level = GUM_H3.reduce((sum, [, b]) => sum + b, 0) / n;
    const square = GUM_H3.reduce((sum, [t]) => sum + (t - mean) ** 2, 0);
    const slope = GUM_H3.reduce((sum, [t, b]) => sum + (t - mean) * (b - level), 0) / square;
    const rest = GUM_H3.reduce((sum, [t, b]) => sum + (b - level - slope * (t - mean)) ** 2, 0);
    const residualC = Math.sqrt(rest / (n - 2));
    expect(residualC).toBeCloseTo(0.0035, 4);
    expect(slope).toBeCloseTo(0.00218, 5);
    const spread = Math.sqrt(square / n);
    const point = (side: number) => ({
      readC: mean + side * spread,
      correctionC: level + side * spread * slope,
      standardC: residualC * Math.sqrt(2 / n),
    });
    const at30 = lineAt(point(-1), point(1), 30);
    expect(at30.correctionC).toBeCloseTo(-0.1494, 4);
    expect(at30.standardC).toBeCloseTo(0.0041, 4);
    const at20 = lineAt(point(-1), point(1), 20);
    expect(at20.correctionC).toBeCloseTo(-0.1712, 4);
    expect(at20.standardC).toBeCloseTo(0.0029, 4);
  });

  it('takes a limit as limit over the root of three (JCGM 100:2008, 4.3.7: half-width 40e-6 gives 23e-6)', () => {
    expect(standardOfLimit(40e-6)).toBeCloseTo(23e-6, 6);
  });
});

describe('a calibration', () => {
  it('from a reference alone is an offset that makes the probe right at that point', () => {
    const calibration = made(input(referencePoint(65, 64.6)));
    expect(calibration.method).toBe('offset');
    expect(applyCalibration(calibration, 64.6)).toBeCloseTo(65, 9);
    expect(applyCalibration(calibration, 20)).toBeCloseTo(20.4, 9);
    expect(calibration).toMatchObject({ basis: 'k=2' });
    expect(calibration.uncertaintyC).toBeLessThan(0.5);
  });

  it('from ice and a reference is a line where the errors differ by more than their doubt', () => {
    const calibration = made(input(icePoint(-0.4), referencePoint(68, 68.3)));
    expect(calibration.method).toBe('line');
    expect(applyCalibration(calibration, -0.4)).toBeCloseTo(0, 3);
    expect(applyCalibration(calibration, 68.3)).toBeCloseTo(68, 3);
    expect(applyCalibration(calibration, 33.95)).toBeCloseTo(34, 3);
  });

  it('from ice and a reference stays an offset where a slope would be noise, and the reference decides', () => {
    const calibration = made(input(icePoint(-0.2), referencePoint(65, 64.7)));
    expect(calibration.method).toBe('offset');
    expect(calibration.correction.slopePerC).toBe(0);
    expect(applyCalibration(calibration, 64.7)).toBeCloseTo(65, 9);
  });

  it('leaves less doubt with the ice point than without, and more with a poorer reference', () => {
    const left = (...points: CalibrationInput['points']) => made(input(...points)).uncertaintyC;
    const good = left(icePoint(-0.2), referencePoint(65, 64.7));
    const lone = left(referencePoint(65, 64.7));
    const poor = left(icePoint(-0.2), referencePoint(65, 64.7, { limitC: 0.25 }));
    console.log(
      `left either way, k = 2: ice and reference ${good}, reference ${lone}, poorer reference ${poor} C`,
    );
    expect(good).toBeLessThan(lone);
    expect(good).toBeLessThan(poor);
    // As the README's table says.
    expect([good, lone]).toEqual([0.35, 0.4]);
  });

  it('works out the budget by hand: reference 0.1, mixing 0.1, drift 0.2, shape 0.1, last digit, flicker, slope', () => {
    const uRead = Math.hypot(0.03125, 0.1, 0.03125 / Math.sqrt(30)) / Math.sqrt(3);
    const uReference = Math.hypot(uRead, 0.1 / Math.sqrt(3));
    const away = 85 - 64.7;
    const reach = (85 + 0.2) / (64.7 + 0.2);
    const uLine = Math.hypot((1 - reach) * uRead, reach * uReference);
    const leftOut = (0.1 / 64.9) * away;
    const u = Math.hypot(uLine, Math.hypot(0.1, 0.2, leftOut) / Math.sqrt(3));
    const calibration = made(input(icePoint(-0.2), referencePoint(65, 64.7)));
    expect(calibration.uncertaintyC).toBeCloseTo(Math.ceil(200 * u) / 100, 9);
  });

  it('from ice alone corrects nothing and claims no more than the data sheet', () => {
    const calibration = made(input(icePoint(0.3)));
    expect(calibration).toMatchObject({ method: 'check-only', basis: 'limits', uncertaintyC: 0.5 });
    expect(applyCalibration(calibration, 63)).toBe(63);
  });

  it('from ice alone claims less than the data sheet promises where the probe is seen outside it', () => {
    const { uncertaintyC } = made(input(icePoint(1.4)));
    expect(uncertaintyC).toBeGreaterThan(1.5);
    expect(uncertaintyC).toBeLessThan(1.6);
  });

  it('does not correct by a reference that is no better than the probe, unless the probe is seen outside its data sheet', () => {
    const rough = { limitC: 0.5 };
    expect(made(input(referencePoint(65, 64.7, rough)))).toMatchObject({
      method: 'check-only',
      uncertaintyC: 0.5,
    });
    const corrected = made(input(referencePoint(65, 63.6, rough)));
    expect(corrected.method).toBe('offset');
    expect(corrected.uncertaintyC).toBeGreaterThan(0.5);
  });

  it('averages several reference points but never the error that they share', () => {
    const three = [referencePoint(61, 60.7), referencePoint(66, 65.7), referencePoint(71, 70.7)];
    const calibration = made(input(icePoint(-0.3), ...three));
    expect(applyCalibration(calibration, 65.7)).toBeCloseTo(66, 3);
    const one = made(input(icePoint(-0.3), referencePoint(66, 65.7)));
    expect(calibration.uncertaintyC).toBeLessThanOrEqual(one.uncertaintyC);
    expect(calibration.uncertaintyC).toBeGreaterThan(2 * (0.1 / Math.sqrt(3)));
  });

  it('is not moved by boiling water, which is a check only', () => {
    const without = made(input(icePoint(-0.2), referencePoint(65, 64.7)));
    const withBoiling = made(
      input(icePoint(-0.2), referencePoint(65, 64.7), boilingPoint(90.1, { altitudeM: 2250 })),
    );
    expect(withBoiling.correction).toEqual(without.correction);
    expect(withBoiling.uncertaintyC).toBe(without.uncertaintyC);
  });

  it('goes to a file and back unchanged, and two of the same probe are refused', () => {
    const calibration = made(input(icePoint(-0.4), referencePoint(68, 68.3)));
    expect(calibrationSchema.parse(JSON.parse(JSON.stringify(calibration)))).toEqual(calibration);
    const twice = calibrationsSchema.safeParse([calibration, calibration]);
    expect(twice.error?.issues[0]?.message).toContain('twice');
    expect(calibrationSchema.safeParse({ ...calibration, ofset: 1 }).success).toBe(false);
  });

  it('keeps its promise in at least 95 of 100 probes drawn within the limits it states, and is not absurd', () => {
    const random = newRandom(20261125);
    const within = (limit: number) => uniformBetween(random, -limit, limit);
    const counts = { offset: 0, line: 0, 'check-only': 0 };
    let kept = 0;
    let claimed = 0;
    let worst = 0;
    const draws = 4000;
    for (let i = 0; i < draws; i++) {
      const [level, tilt, bend, phase] = [within(0.5), within(0.0077), within(0.1), within(Math.PI)];
      const error = (c: number) => level + tilt * (c - 40) + bend * Math.sin(c / 12 + phase);
      const read = (c: number) => Math.round((c + error(c)) * 16) / 16;
      const at = uniformBetween(random, 60.2, 74.8);
      const ice = icePoint(read(within(0.1)));
      const reference = referencePoint(at + within(0.1), read(at + within(0.1)));
      const calibration = made(input(ice, reference));
      counts[calibration.method]++;
      const c = uniformBetween(random, 50, 85);
      const leftC = Math.abs(applyCalibration(calibration, read(c) + within(0.2)) - c);
      if (leftC <= calibration.uncertaintyC) kept++;
      worst = Math.max(worst, leftC / calibration.uncertaintyC);
      claimed += calibration.uncertaintyC;
    }
    console.log(
      `of ${draws} probes ${((100 * kept) / draws).toFixed(1)} % within the claim, mean claim ${(claimed / draws).toFixed(2)} C, worst ${worst.toFixed(2)} of it; ${JSON.stringify(counts)}`,
    );
    expect(kept / draws).toBeGreaterThan(0.95);
    expect(claimed / draws).toBeLessThan(0.4);
    expect(counts.line).toBeGreaterThan(0);
    expect(counts.offset).toBeGreaterThan(0);
  });
});

describe('the hard maximum told to the board', () => {
  it('comes down with a probe that reads low and never goes up with one that reads high', () => {
    const low = made(input(icePoint(-0.8), referencePoint(65, 64.2)));
    const high = made(input(icePoint(0.8), referencePoint(65, 65.8)));
    expect(hardMaxCode(null, 95)).toBe(1520);
    expect(hardMaxCode(low, 95)).toBe(Math.floor(16 * 94.2));
    expect(hardMaxCode(high, 95)).toBe(1520);
  });

  it('turns a correction round exactly', () => {
    const line = made(input(icePoint(-0.4), referencePoint(68, 68.3)));
    for (const c of [-5, 0, 57.2, 68, 95])
      expect(applyCalibration(line, uncorrectedC(line, c))).toBeCloseTo(c, 9);
    expect(uncorrectedC(null, 60)).toBe(60);
  });
});

describe('a probe at a point', () => {
  const steady = Array.from({ length: 30 }, (_, i) => 64.625 + (i % 3 === 0 ? 0.0625 : 0));

  it('has settled when half a minute of readings stays within three steps and does not drift', () => {
    const result = settled([50, 60, ...steady]);
    expect(result).toMatchObject({ ok: true, readings: 30, spreadC: 0.0625 });
    if (result.ok) expect(result.readC).toBeCloseTo(64.6458, 3);
  });

  it('has not settled while it moves, drifts, is too short or has a hole, and says which', () => {
    const why = (readings: readonly number[]) => {
      const result = settled(readings);
      return result.ok ? '' : result.why;
    };
    expect(why(steady.slice(1))).toContain('29 readings of 30');
    expect(why(steady.map((c, i) => c + i / 20))).toContain('still moving');
    expect(why(steady.map((_, i) => 64.5 + (i >= 15 ? 0.0625 : 0)))).toContain('still rising');
    expect(why(steady.map((_, i) => 64.5 - (i >= 15 ? 0.0625 : 0)))).toContain('still falling');
    expect(why([...steady.slice(1), Number.NaN])).toContain('missing');
  });
});

import { describe, expect, it } from 'vitest';
import { pointFaults } from '../../controller/rig/calibrate/faults.ts';
import { calibrationFrom } from '../../controller/rig/calibrate/fit.ts';
import { judgeCalibration } from '../../controller/rig/calibrate/judge.ts';
import type { Calibration, CalibrationPoint } from '../../shared/wire/calibration.ts';
import { AT_MS, boilingPoint, DAY_MS, icePoint, input, ROM, referencePoint } from './calibrate-points.ts';

// A year and one degree are common practice, no source.
function made(...points: Parameters<typeof input>): Calibration {
  const result = calibrationFrom(input(...points));
  if (!result.ok) throw new Error(result.faults.map((fault) => fault.text).join('\n'));
  return result.calibration;
}
const good = () => made(icePoint(-0.2), referencePoint(65, 64.7));
const flagIds = (calibration: Calibration | null, nowMs: number | null) =>
  judgeCalibration(calibration, nowMs).flags.map((flag) => flag.id);

describe('judging a calibration', () => {
  it('finds nothing to say of a fresh and ordinary one, and passes its doubt on', () => {
    const calibration = good();
    expect(judgeCalibration(calibration, AT_MS + 100 * DAY_MS)).toEqual({
      ageDays: 100,
      flags: [],
      probeErrorC: calibration.uncertaintyC,
      basis: 'k=2',
    });
  });

  it('reckons with the data sheet where there is none', () => {
    expect(judgeCalibration(null, AT_MS)).toMatchObject({ ageDays: null, probeErrorC: 0.5, basis: 'limits' });
    expect(flagIds(null, AT_MS)).toEqual(['none']);
  });

  it('flags one older than a year, still applied, and then claims no more than the data sheet', () => {
    const calibration = good();
    expect(flagIds(calibration, AT_MS + 365 * DAY_MS)).toEqual([]);
    const old = judgeCalibration(calibration, AT_MS + 366 * DAY_MS);
    expect(old.flags.map((flag) => flag.id)).toEqual(['old']);
    expect(old.flags[0]?.text).toContain('366 days');
    expect(old).toMatchObject({ probeErrorC: 0.5, basis: 'limits' });
  });

  it('does not take a clock that is not set, or set into the past, for a young calibration', () => {
    expect(flagIds(good(), null)).toEqual(['age-unknown']);
    expect(flagIds(good(), AT_MS - 30 * DAY_MS)).toEqual(['date-ahead']);
    expect(judgeCalibration(good(), AT_MS - 30 * DAY_MS)).toMatchObject({ ageDays: null, probeErrorC: 0.5 });
    expect(flagIds(good(), AT_MS - DAY_MS / 2)).toEqual([]);
  });

  it('flags a probe off by more than 1 degree at either point, and not one off by less', () => {
    expect(flagIds(made(icePoint(-0.95), referencePoint(65, 64.05)), AT_MS)).toEqual([]);
    expect(flagIds(made(icePoint(-1.1), referencePoint(65, 63.9)), AT_MS)).toEqual(['far-off']);
    expect(flagIds(made(icePoint(1.2), referencePoint(65, 65.1)), AT_MS)).toEqual(['far-off']);
    expect(flagIds(made(icePoint(1.4)), AT_MS)).toEqual(['far-off', 'check-only']);
  });

  it('says that ice alone, or too poor a reference, corrects nothing', () => {
    expect(judgeCalibration(made(icePoint(0.1)), AT_MS).flags[0]?.text).toContain('Ice alone');
    const poor = judgeCalibration(made(referencePoint(65, 64.8, { limitC: 0.6 })), AT_MS);
    expect(poor.flags[0]?.text).toContain('better thermometer');
    expect(poor.probeErrorC).toBe(0.5);
  });

  it('holds boiling water against the height or the pressure, and flags only what neither explains', () => {
    const at = (readC: number, place: { altitudeM: number } | { pressureKPa: number }) =>
      flagIds(made(icePoint(-0.2), referencePoint(65, 64.7), boilingPoint(readC, place)), AT_MS);
    // 2,250 m: 92.48 °C (standard atmosphere and IAPWS-IF97, recomputed).
    expect(at(92.2, { altitudeM: 2250 })).toEqual([]);
    expect(at(99.7, { altitudeM: 2250 })).toEqual(['boiling']);
    expect(at(92.2, { altitudeM: 0 })).toEqual(['boiling']);
    expect(at(92.2, { pressureKPa: 77.06 })).toEqual([]);
    expect(at(95.2, { pressureKPa: 77.06 })).toEqual(['boiling']);
  });

  it('notices a correction or a doubt that was edited by hand', () => {
    const calibration = good();
    const bent = { ...calibration, correction: { ...calibration.correction, offsetC: 1.3 } };
    expect(flagIds(bent, AT_MS)).toContain('edited');
    expect(judgeCalibration(bent, AT_MS).probeErrorC).toBe(0.5);
    expect(flagIds({ ...calibration, uncertaintyC: 0.1 }, AT_MS)).toEqual(['edited']);
    const emptied: Calibration = { ...calibration, points: [boilingPoint(92, { altitudeM: 2250 })] };
    expect(flagIds(emptied, AT_MS)).toContain('edited');
    const reread = JSON.parse(JSON.stringify(calibration)) as Calibration;
    expect(flagIds(reread, AT_MS)).toEqual([]);
  });
});

describe('points that make no calibration', () => {
  const cases: [string, string, CalibrationPoint[], RegExp][] = [
    ['none at all', 'no-points', [], /Take the ice point/],
    ['boiling alone', 'no-points', [boilingPoint(99, { altitudeM: 0 })], /alone makes no calibration/],
    ['no number', 'no-number', [icePoint(Number.NaN)], /readC is NaN/],
    ['swapped', 'swapped', [icePoint(64.7), referencePoint(65, 0.1)], /other way round/],
    ['a reference too cool', 'reference-outside', [referencePoint(59.9, 59.9)], /60 to 75/],
    ['a reference too hot', 'reference-outside', [referencePoint(75.1, 75)], /60 to 75/],
    ['a poor reference', 'reference-poor', [referencePoint(65, 65, { limitC: 1.5 })], /better thermometer/],
    ['ice that is not ice', 'too-far', [icePoint(4.2)], /slush/],
    ['a probe beyond repair', 'too-far', [referencePoint(65, 61.9)], /replace the probe/],
    [
      'references too near',
      'too-near',
      [referencePoint(65, 64.8), referencePoint(66, 65.8)],
      /say the same thing/,
    ],
    ['references that disagree', 'disagree', [referencePoint(62, 61.9), referencePoint(70, 69.2)], /Stir/],
    [
      'ice and reference that contradict',
      'contradict',
      [icePoint(1.6), referencePoint(65, 64.4)],
      /take both again/,
    ],
    ['two ice points', 'too-many', [icePoint(0), icePoint(0.1)], /at most 1/],
  ];
  for (const [name, id, points, words] of cases) {
    it(`are refused with what was found, what was expected and what to do: ${name}`, () => {
      const result = calibrationFrom(input(...points));
      if (result.ok) throw new Error('was accepted');
      expect(result.faults.map((fault) => fault.id)).toEqual([id]);
      expect(result.faults[0]?.text).toMatch(words);
    });
  }

  it('are all named at once', () => {
    const ids = pointFaults([icePoint(4.2), referencePoint(50, 50, { limitC: 2 })]).map((fault) => fault.id);
    expect(ids).toEqual(['reference-outside', 'reference-poor', 'too-far', 'contradict']);
  });

  it('are refused with a mistyped ROM, a date that is none, or nobody to answer for them', () => {
    const wrong = { ...input(icePoint(0)), rom: ROM.replace('6B', '6C'), calibratedAt: 'yesterday', by: ' ' };
    const result = calibrationFrom(wrong);
    if (result.ok) throw new Error('was accepted');
    const text = result.faults.map((fault) => fault.text).join('\n');
    expect(result.faults).toHaveLength(3);
    for (const word of ['mistyped', 'calibratedAt', 'by:']) expect(text).toContain(word);
  });
});

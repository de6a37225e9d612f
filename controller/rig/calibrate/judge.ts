import type { BoilingPoint, Calibration } from '../../../shared/wire/calibration.ts';
import { boilingReference } from '../convert/boiling.ts';
import { applyCalibration } from './apply.ts';
import { evidenceOf } from './evidence.ts';
import { pointFaults } from './faults.ts';
import { fitOf } from './fit.ts';
import { HOT_LIMIT_C, WORKING_C, YEAR_DAYS } from './limits.ts';
import { DS18B20, type SensorPart } from './part.ts';

/** Something a person should know about a probe's calibration. */
export interface CalibrationFlag {
  readonly id:
    | 'none'
    | 'check-only'
    | 'old'
    | 'age-unknown'
    | 'date-ahead'
    | 'far-off'
    | 'boiling'
    | 'edited';
  readonly text: string;
}

/** What a probe's calibration is worth at a moment. */
export interface CalibrationJudgement {
  /** Whole days; null where there is no calibration or the clock cannot tell. */
  readonly ageDays: number | null;
  readonly flags: readonly CalibrationFlag[];
  /** Error to reckon with either way, degrees C: the estimate's `probeErrorC`. */
  readonly probeErrorC: number;
  /** How that number is meant. */
  readonly basis: Calibration['basis'];
}

const DAY_MS = 24 * 3600 * 1000;

/**
 * Judges a probe's calibration.
 * @param calibration null where the probe has none
 * @param nowMs wall time, ms since 1970; null while the wall clock is not trusted
 * @param part the sensor it is of
 */
export function judgeCalibration(
  calibration: Calibration | null,
  nowMs: number | null,
  part: SensorPart = DS18B20,
): CalibrationJudgement {
  const { limitC } = part;
  if (calibration === null) {
    const text = `This probe has no calibration: up to ${limitC} K either way ${part.basis}.`;
    return { ageDays: null, flags: [{ id: 'none', text }], probeErrorC: limitC, basis: 'limits' };
  }
  const age = ageOf(calibration, nowMs);
  const edited = editedFlag(calibration, part);
  const flags = [
    age.flag,
    edited,
    farOffFlag(calibration, part),
    boilingFlag(calibration, part),
    checkOnlyFlag(calibration, part),
  ];
  // What cannot be trusted as dated or as written claims no more than the data sheet.
  const doubted = age.flag !== null || edited !== null;
  return {
    ageDays: age.days,
    flags: flags.filter((flag) => flag !== null),
    probeErrorC: doubted ? Math.max(calibration.uncertaintyC, limitC) : calibration.uncertaintyC,
    basis: doubted ? 'limits' : calibration.basis,
  };
}

function ageOf(
  calibration: Calibration,
  nowMs: number | null,
): { days: number | null; flag: CalibrationFlag | null } {
  if (nowMs === null) {
    const text = 'The clock is not set, so the age of the calibration is not known. Set the clock.';
    return { days: null, flag: { id: 'age-unknown', text } };
  }
  const days = Math.floor((nowMs - Date.parse(calibration.calibratedAt)) / DAY_MS);
  const on = calibration.calibratedAt.slice(0, 10);
  // A day's grace: a calibration may be dated by another machine in another time zone.
  if (days < -1) {
    const text = `The calibration is dated ${on}, which is still to come: the clock or the date is wrong. Mend it.`;
    return { days: null, flag: { id: 'date-ahead', text } };
  }
  if (days <= YEAR_DAYS) return { days: Math.max(0, days), flag: null };
  return {
    days,
    flag: {
      id: 'old',
      text: `Calibrated on ${on}, ${days} days ago: expected within a year. Calibrate again.`,
    },
  };
}

function editedFlag(calibration: Calibration, part: SensorPart): CalibrationFlag | null {
  const { points, correction, uncertaintyC } = calibration;
  if (pointFaults(points, part).length === 0) {
    const fit = fitOf(points, part);
    const at = (celsius: number) => applyCalibration({ ...calibration, correction: fit.correction }, celsius);
    const same = [0, WORKING_C.low, WORKING_C.high].every(
      (celsius) => Math.abs(at(celsius) - applyCalibration(calibration, celsius)) < 0.005,
    );
    if (same && uncertaintyC >= fit.uncertaintyC - 1e-9) return null;
  }
  const text = `The correction on file (${signed(correction.offsetC)} K) does not follow from its own points: it was edited. Calibrate again.`;
  return { id: 'edited', text };
}

function farOffFlag(calibration: Calibration, { farOffC }: SensorPart): CalibrationFlag | null {
  const { ice, reference } = evidenceOf(calibration.points);
  const applied = [WORKING_C.low, WORKING_C.high].map(
    (celsius) => applyCalibration(calibration, celsius) - celsius,
  );
  const seen = [ice, reference].flatMap((point) => (point ? [point.correctionC] : []));
  const offC = [...applied, ...seen].reduce((most, one) => (Math.abs(one) > Math.abs(most) ? one : most), 0);
  if (Math.abs(offC) <= farOffC) return null;
  const text = `The probe is off by ${Math.abs(offC).toFixed(2)} K: expected within ${farOffC} K. It may be failing or an imitation; replace it.`;
  return { id: 'far-off', text };
}

function checkOnlyFlag({ method, points }: Calibration, { limitC }: SensorPart): CalibrationFlag | null {
  if (method !== 'check-only') return null;
  const text = points.some((point) => point.kind === 'reference')
    ? `The reference leaves more doubt than the ${limitC} K of the probe itself, so nothing is corrected. Use a better thermometer.`
    : 'Ice alone says nothing sure about cooking temperature, so nothing is corrected. Add a reference at 60 to 75 °C.';
  return { id: 'check-only', text };
}

function boilingFlag(calibration: Calibration, { limitC: ownC }: SensorPart): CalibrationFlag | null {
  const point = calibration.points.find((one): one is BoilingPoint => one.kind === 'boiling');
  if (!point) return null;
  const { celsius, limitC } = boilingReference(point.place);
  const readC = applyCalibration(calibration, point.readC);
  const allowedC = Math.max(HOT_LIMIT_C, ownC) + limitC;
  if (Math.abs(readC - celsius) <= allowedC) return null;
  const text = `In boiling water the probe shows ${readC.toFixed(1)} °C: expected ${celsius.toFixed(1)} °C here, give or take ${allowedC.toFixed(1)} K. Check height or pressure; else the probe is doubtful.`;
  return { id: 'boiling', text };
}

const signed = (celsius: number) => `${celsius < 0 ? '−' : '+'}${Math.abs(celsius).toFixed(2)}`;

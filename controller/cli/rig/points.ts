import type { Calibration, CalibrationPoint } from '../../../shared/wire/calibration.ts';
import { APART_C } from '../../rig/calibrate/limits.ts';

/** Points of one calibration are taken within so many days: a probe drifts. Common practice, no source. */
const SESSION_DAYS = 30;
const MOST_REFERENCES = 3;
const DAY_MS = 24 * 3600 * 1000;

/** The points of a calibration with one more, and the date they count from. */
export interface JoinedPoints {
  readonly points: CalibrationPoint[];
  /** UTC, ISO 8601: when the oldest of them that corrects anything was taken. */
  readonly calibratedAt: string;
  /** Earlier points that are left aside, in words; null where none are. */
  readonly note: string | null;
}

/**
 * Adds a point to those taken before. It takes the place of the one of its kind; of references those of another
 * temperature stay, the newest three. A new point never makes old ones young: points older than a month are left aside,
 * and the whole is dated by the oldest that it keeps. Boiling water corrects nothing, so it changes no date.
 */
export function joinPoints(before: Calibration | null, point: CalibrationPoint, nowMs: number): JoinedPoints {
  const now = new Date(nowMs).toISOString();
  if (before === null) return { points: [point], calibratedAt: now, note: null };
  const ageMs = nowMs - Date.parse(before.calibratedAt);
  const recent = Math.abs(ageMs) <= SESSION_DAYS * DAY_MS;
  const checkOnly = point.kind === 'boiling';
  if (!recent && !checkOnly) {
    const note = `The points of ${before.calibratedAt.slice(0, 10)} are more than ${SESSION_DAYS} days from this one and are left aside: take all anew.`;
    return { points: [point], calibratedAt: now, note };
  }
  const kept = before.points.filter((one) => !replaced(one, point));
  const references = kept.filter((one) => one.kind === 'reference');
  const room = point.kind === 'reference' ? MOST_REFERENCES - 1 : MOST_REFERENCES;
  const dropped = new Set(references.slice(0, Math.max(0, references.length - room)));
  const points = [...kept.filter((one) => !dropped.has(one as (typeof references)[number])), point];
  const stays = checkOnly || points.some((one) => one !== point && one.kind !== 'boiling');
  return { points, calibratedAt: stays ? before.calibratedAt : now, note: null };
}

function replaced(old: CalibrationPoint, point: CalibrationPoint): boolean {
  if (old.kind === 'reference' && point.kind === 'reference')
    return Math.abs(old.referenceC - point.referenceC) < APART_C;
  return old.kind === point.kind;
}

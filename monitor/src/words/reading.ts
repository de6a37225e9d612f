import { durationText } from '../../../shared/units/duration.ts';
import type { Quality } from '../../../shared/wire/reading.ts';
import type { Status } from '../../../shared/wire/status.ts';

/** What each quality means to a cook. */
export const QUALITY_WORDS: Record<Quality, string> = {
  good: 'Good reading',
  absent: 'No reading: the probe does not answer',
  crc: 'No reading: the probe’s answer was garbled',
  range: 'No reading: the value cannot be true of this bath',
  'power-on': 'No reading: the probe has only just started',
  open: 'No reading: the probe’s wire is broken or out',
  shorted: 'No reading: the probe’s wires are shorted',
  saturated: 'No reading: beyond what its circuit can show',
  offline: 'No reading: the rig does not answer',
};

/** A reading older than this is shown as old. */
export const OLD_READING_MS = 5000;

export interface ReadingView {
  readonly celsius: number | null;
  readonly ageMs: number | null;
  /** False: draw it grey, with its age, never as the present temperature. */
  readonly current: boolean;
  readonly words: string;
}

/**
 * The bath's reading as it is to be shown `sinceMs` of page time after its status arrived.
 * @param connected false greys the number however young it is
 */
export function readingView(bath: Status['bath'], sinceMs: number, connected: boolean): ReadingView {
  const ageMs = bath.ageMs === null ? null : bath.ageMs + Math.max(0, sinceMs);
  const good = bath.quality === 'good' && bath.celsius !== null;
  const old = ageMs === null || ageMs > OLD_READING_MS;
  const current = good && !old && connected;
  const age = ageMs === null ? 'never measured' : `measured ${ageText(ageMs)} ago`;
  if (!good) return { celsius: null, ageMs, current: false, words: QUALITY_WORDS[bath.quality] };
  if (!connected) return { celsius: bath.celsius, ageMs, current, words: `Last known, ${age}` };
  if (old) return { celsius: bath.celsius, ageMs, current, words: `Old reading, ${age}` };
  return { celsius: bath.celsius, ageMs, current, words: `${QUALITY_WORDS.good}, ${age}` };
}

/** An age for people, whole seconds. */
export function ageText(ms: number): string {
  return durationText(Math.floor(Math.max(0, ms) / 1000));
}

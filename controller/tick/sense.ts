import type { Quality, Reading } from '../../shared/wire/reading.ts';
import type { LastGood } from './state.ts';

/** A reading that arrived longer ago than this may not renew a lease. */
export const LEASE_FRESH_MS = 2500;
/** No bath of water is outside this, whatever the probe says. */
const PLAUSIBLE_C = { low: -5, high: 105 } as const;

/** What this tick knows of the water. */
export interface Sense {
  /** Valid and fresh this tick, else null. */
  readonly celsius: number | null;
  readonly quality: Quality;
  /** Age of the last valid reading; null where there never was one. */
  readonly ageMs: number | null;
}

/** Judges the bath reading: valid, plausible and fresh, or why not. */
export function senseBath(reading: Reading, lastGood: LastGood | null, monotonicMs: number): Sense {
  const quality = judged(reading, lastGood);
  const fresh = monotonicMs - reading.monotonicMs <= LEASE_FRESH_MS;
  if (quality === 'good' && fresh) {
    return { celsius: reading.celsius, quality, ageMs: monotonicMs - reading.monotonicMs };
  }
  const ageMs = lastGood === null ? null : monotonicMs - lastGood.monotonicMs;
  return { celsius: null, quality: quality === 'good' ? 'absent' : quality, ageMs };
}

/** A one-wire sensor says this before its first conversion (data sheet): a measurement only where the water was near. */
const POWER_ON_C = 85;
const NEAR_C = 2;

function judged(reading: Reading, lastGood: LastGood | null): Quality {
  if (reading.quality !== 'good') return reading.quality;
  if (reading.celsius === null || !Number.isFinite(reading.celsius)) return 'absent';
  if (
    reading.celsius === POWER_ON_C &&
    (lastGood === null || Math.abs(lastGood.celsius - POWER_ON_C) > NEAR_C)
  )
    return 'power-on';
  return reading.celsius < PLAUSIBLE_C.low || reading.celsius > PLAUSIBLE_C.high ? 'range' : 'good';
}

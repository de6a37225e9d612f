import type { Quality } from '../../../shared/wire/reading.ts';

/** A sensor's raw value turned into degrees C, or why there is none. `offline` is the rig's own word, not a sensor's. */
export interface Converted {
  readonly celsius: number | null;
  readonly quality: Exclude<Quality, 'offline'>;
  /** In words, for the person who holds the probe; null where the reading is good. */
  readonly why: string | null;
}

/** A good reading. */
export function good(celsius: number): Converted {
  return { celsius, quality: 'good', why: null };
}

/** No reading, and why. */
export function noReading(quality: Exclude<Converted['quality'], 'good'>, why: string): Converted {
  return { celsius: null, quality, why };
}

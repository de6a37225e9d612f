/** Fewest readings of a point: half a minute at one a second, two time constants of a probe in a sleeve (common practice). */
export const SETTLE_READINGS = 30;
/** Step of a DS18B20 at 12 bits (data sheet, table 2). */
const STEP_C = 0.0625;
/** Three steps of the sensor: a steady probe flickers between two. */
const SPREAD_STEPS = 3;
/** First half against second half: half a step. */
const TREND_STEPS = 0.5;

export type Settled =
  | { readonly ok: true; readonly readC: number; readonly readings: number; readonly spreadC: number }
  | { readonly ok: false; readonly why: string };

/**
 * Has the probe come to rest? Judges the last 30 readings, oldest first, and gives their mean and spread, or why not yet.
 * Readings must be good ones, uncorrected, a second apart.
 * @param stepC smallest step of the sensor, where it is coarser than a DS18B20's
 */
export function settled(readings: readonly number[], stepC = STEP_C): Settled {
  const step = Math.max(STEP_C, stepC);
  if (readings.length < SETTLE_READINGS) {
    return {
      ok: false,
      why: `${readings.length} readings of ${SETTLE_READINGS}: keep the probe where it is`,
    };
  }
  const last = readings.slice(-SETTLE_READINGS);
  if (!last.every(Number.isFinite))
    return { ok: false, why: 'a reading is missing: check the plug, begin again' };
  const spreadC = Math.max(...last) - Math.min(...last);
  const half = SETTLE_READINGS / 2;
  const trendC = mean(last.slice(half)) - mean(last.slice(0, half));
  if (spreadC > SPREAD_STEPS * step) {
    return {
      ok: false,
      why: `still moving, ${spreadC.toFixed(2)} °C in ${SETTLE_READINGS} s: stir, and wait`,
    };
  }
  if (Math.abs(trendC) > TREND_STEPS * step) {
    const way = trendC > 0 ? 'rising' : 'falling';
    return { ok: false, why: `still ${way} slowly, ${Math.abs(trendC).toFixed(2)} °C in ${half} s: wait` };
  }
  return { ok: true, readC: mean(last), readings: SETTLE_READINGS, spreadC };
}

const mean = (values: readonly number[]) => values.reduce((sum, value) => sum + value, 0) / values.length;

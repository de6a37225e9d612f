/*
 * A shorted thermocouple gives no voltage and so reads its cold junction: a temperature like any other. It can be told
 * only by the way it got there: no probe falls from far off onto its cold junction within seconds.
 */

/** What is remembered of a thermocouple. */
export interface ShortWatch {
  /** When it last read far from its cold junction, ms; null where it never did. */
  readonly farMs: number | null;
  readonly shorted: boolean;
}

export const NEW_WATCH: ShortWatch = { farMs: null, shorted: false };

/** Further off than this it does not come by within `JUMP_MS`, not even from a bath into ice. Common practice, no source. */
const FAR_K = 10;
const JUMP_MS = 5000;
/** As near as this, or two steps, is the cold junction itself. */
const NEAR_K = 0.5;

/** What a reading does to the watch; `atJunction`: it cannot be told from a shorted one. */
export function watchShort(
  before: ShortWatch,
  tip: { readonly celsius: number; readonly coldC: number; readonly stepK: number },
  nowMs: number,
): { readonly watch: ShortWatch; readonly atJunction: boolean } {
  const offK = Math.abs(tip.celsius - tip.coldC);
  const atJunction = offK <= Math.max(NEAR_K, 2 * tip.stepK);
  if (!atJunction) {
    return { watch: { farMs: offK > FAR_K ? nowMs : before.farMs, shorted: false }, atJunction };
  }
  const jumped = before.farMs !== null && nowMs - before.farMs <= JUMP_MS;
  return { watch: { farMs: before.farMs, shorted: before.shorted || jumped }, atJunction };
}

export const FIRST_DELAY_MS = 500;
export const LONGEST_DELAY_MS = 30_000;

/**
 * How long to wait before try number `attempt` (from 0): doubling from 0.5 s to 30 s, with the upper half
 * left to chance so that several phones do not come back at once.
 * @param random uniform 0..1
 * @returns milliseconds, 500..30000
 */
export function delayMs(attempt: number, random: number): number {
  const full = Math.min(LONGEST_DELAY_MS, FIRST_DELAY_MS * 2 ** Math.min(attempt + 1, 10));
  return Math.round(full / 2 + (full / 2) * random);
}

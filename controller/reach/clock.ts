/** The clocks that calling needs; the controller's own clock has this shape. */
export interface ReachClock {
  monotonicMs(): number;
  wallMs(): number;
  /** False where the wall clock stepped or was never set. */
  wallTrusted(): boolean;
}

/**
 * A restart counts for so long where no clock can tell, ms: about what a small computer takes to start. Were it nothing, one
 * that starts again and again within the minutes of escalation would begin to wait anew each time and call nobody else.
 */
const RESTART_MS = 60_000;

/**
 * A clock that only runs forward, across restarts too: while the controller runs by the monotonic clock, over the time
 * it was away by the wall clock where that can be trusted, else by one minute for each restart.
 */
export function forwardClock(
  clock: ReachClock,
  kept: { readonly clockMs: number; readonly wallMs: number } | null,
): () => number {
  const trustedMs = kept && clock.wallTrusted() ? clock.wallMs() - kept.wallMs : -1;
  const awayMs = trustedMs >= 0 ? trustedMs : kept ? RESTART_MS : 0;
  const baseMs = (kept?.clockMs ?? 0) + awayMs;
  const startMs = clock.monotonicMs();
  return () => baseMs + Math.max(0, clock.monotonicMs() - startMs);
}

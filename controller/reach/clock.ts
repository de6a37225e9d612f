/** The clocks that calling needs; the controller's own clock has this shape. */
export interface ReachClock {
  monotonicMs(): number;
  wallMs(): number;
  /** False where the wall clock stepped or was never set. */
  wallTrusted(): boolean;
}

/**
 * A clock that only runs forward, across restarts too: while the controller runs by the monotonic clock, over the time
 * it was away by the wall clock where that can be trusted, else not at all. Then waiting takes longer, never shorter.
 */
export function forwardClock(
  clock: ReachClock,
  kept: { readonly clockMs: number; readonly wallMs: number } | null,
): () => number {
  const awayMs = kept && clock.wallTrusted() ? Math.max(0, clock.wallMs() - kept.wallMs) : 0;
  const baseMs = (kept?.clockMs ?? 0) + awayMs;
  const startMs = clock.monotonicMs();
  return () => baseMs + Math.max(0, clock.monotonicMs() - startMs);
}

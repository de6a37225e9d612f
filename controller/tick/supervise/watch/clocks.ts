/** Ticks that came late and a wall clock that jumped. Plain data. */
export interface ClockWatch {
  /** How late the worst tick of late was, s over the second it should take; fades. */
  readonly lateS: number;
  /** Ticks later than the lease allows, of late; fades. */
  readonly lateTicks: number;
  /** The wall clock's last jump against the monotonic clock, s, and how long ago. */
  readonly steppedS: number;
  readonly steppedAgoS: number;
}

export const CALM_CLOCKS: ClockWatch = { lateS: 0, lateTicks: 0, steppedS: 0, steppedAgoS: 1e6 };

/** A tick later than this ends the lease before it is renewed, s. */
export const LATE_S = 1.6;
/** A wall clock that differs by more was set, not merely slow, s. */
const STEP_S = 2;
const FADE_S = 120;

/** Takes in a tick: `dtS` by the monotonic clock, `wallS` by the wall clock. */
export function watchClocks(watch: ClockWatch, dtS: number, wallS: number): ClockWatch {
  const fade = Math.exp(-dtS / FADE_S);
  const late = dtS > LATE_S;
  const jump = wallS - dtS;
  const stepped = Math.abs(jump) > STEP_S;
  return {
    lateS: late ? Math.max(dtS, watch.lateS * fade) : watch.lateS * fade,
    lateTicks: late ? watch.lateTicks * fade + 1 : watch.lateTicks * fade,
    steppedS: stepped ? jump : watch.steppedS,
    steppedAgoS: stepped ? 0 : Math.min(1e6, watch.steppedAgoS + dtS),
  };
}

import type { Clock, DemoClock } from './clock.ts';

/** A tick is due every second. */
const TICK_MS = 1000;
/** Demo ticks in one go at most, so that the page stays served; what is left over makes the demo slower, not wrong. */
const DEMO_BURST = 40;

/** Runs `step` once a second of real time. Ticks are never made up for: a late one is late. */
export function realLoop(clock: Clock, step: () => void): () => void {
  let next = clock.monotonicMs();
  let timer: NodeJS.Timeout;
  const run = (): void => {
    step();
    const now = clock.monotonicMs();
    next = Math.max(next + TICK_MS, now - TICK_MS / 2);
    timer = setTimeout(run, Math.max(0, next - now));
  };
  timer = setTimeout(run, 0);
  return () => clearTimeout(timer);
}

/** Runs `step` for each second of demo time, `speed` of them a real second. */
export function demoLoop(clock: DemoClock, speed: number, step: () => void): () => void {
  const begun = performance.now();
  let done = 0;
  const timer = setInterval(
    () => {
      const due = Math.floor(((performance.now() - begun) / 1000) * speed);
      const burst = Math.min(due - done, DEMO_BURST);
      for (let i = 0; i < burst; i++) {
        clock.move(TICK_MS);
        step();
      }
      done = burst === DEMO_BURST ? due : done + burst;
    },
    Math.max(10, 1000 / speed),
  );
  return () => clearInterval(timer);
}

import type { SocketLike, StreamWorld } from './client.ts';

/**
 * Milliseconds that pass also while the phone sleeps, when the page's own clock may stand still: of the two
 * clocks the one that moved further since the last look. A wall clock set forward makes data look older than
 * it is, never newer.
 */
function pageClock(): () => number {
  let wall = Date.now();
  let own = performance.now();
  let elapsed = 0;
  return () => {
    const wallNow = Date.now();
    const ownNow = performance.now();
    elapsed += Math.max(0, wallNow - wall, ownNow - own);
    wall = wallNow;
    own = ownNow;
    return elapsed;
  };
}

/** One clock for every age on the page, in milliseconds since it was opened. */
export const pageNow = pageClock();

export const browserWorld: StreamWorld = {
  open(): SocketLike {
    const scheme = location.protocol === 'https:' ? 'wss:' : 'ws:';
    return new WebSocket(`${scheme}//${location.host}/stream`) as unknown as SocketLike;
  },
  now: pageNow,
  setTimer: (run, ms) => setTimeout(run, ms),
  clearTimer: (timer) => clearTimeout(timer as ReturnType<typeof setTimeout>),
  random: Math.random,
};

import type { Balance, BalanceNow } from './balance.ts';

/** Falls and leaps of the reading that no water makes by itself. Plain data; times by the tick's clock. */
export interface Fall {
  /** How much lower the reading is than heat, loss and food account for, since a person last explained it, degC. */
  readonly fellC: number;
  /** It is still falling. */
  readonly moving: boolean;
  /** When the last fall began, and the reading before it. */
  readonly atS: number;
  readonly fromC: number;
  /** Level that the present fall began from, degC. */
  readonly fromLevelC: number;
  /** The last leap upwards, degC, and when. */
  readonly leaptC: number;
  readonly leaptAtS: number;
}

export const NO_FALL: Fall = {
  fellC: 0,
  moving: false,
  atS: -1e6,
  fromC: 0,
  fromLevelC: 0,
  leaptC: 0,
  leaptAtS: -1e6,
};

/** A fall within this many beats is too quick for any loss. */
const BEATS = 3;
const SECONDS = 30;
/** Least fall that counts, degC. */
const LEAST_C = 0.8;
/** The fall is over once a beat loses less than this, degC. */
const STILL_C = 0.12;
/** Food may take so many times what is expected of it. */
const FOOD_FACTOR = 1.6;
/** The largest loss a lifted lid can make is this many standard deviations over what is expected of it. */
const WIDE = 2;

/** The fastest that the covered bath can lose heat once its lid is off, degC/s, with what food may take. */
export function fastestLoss(now: BalanceNow, lid: { mean: number; sd: number }): number {
  const open = now.shape.steamWM2 + now.shape.openWM2;
  return 1.2 * (lid.mean + WIDE * lid.sd) * open + now.foodSpread + 2.5 * now.modelSd;
}

/** Looks at the beat that has just ended. `ended` is true once a fall or leap is over and the balance begins anew. */
export function watchFall(
  fall: Fall,
  balance: Balance,
  now: BalanceNow,
  lid: { mean: number; sd: number },
  clockS: number,
): { fall: Fall; ended: boolean } {
  const { levels, waters } = balance;
  const last = levels.length - 1;
  if (last < 1) return { fall: fall.moving ? acrossGap(fall, now, lid, clockS) : fall, ended: false };
  const level = levels[last]!;
  const beatC = level - levels[last - 1]!;
  const noiseC = 6 * Math.SQRT2 * now.meanSdC;
  if (fall.moving) {
    const fellC = Math.max(fall.fellC, fall.fellC + fall.fromLevelC - level);
    const moving = beatC < -(STILL_C + 3 * now.meanSdC);
    return { fall: { ...fall, fellC, fromLevelC: Math.min(level, fall.fromLevelC), moving }, ended: !moving };
  }
  if (beatC > LEAST_C + noiseC + 15 * now.fullCPerS) {
    return { fall: { ...fall, leaptC: beatC, leaptAtS: clockS }, ended: true };
  }
  const from = Math.max(0, last - BEATS);
  const downC = levels[from]! - level;
  if (downC <= Math.max(LEAST_C, SECONDS * fastestLoss(now, lid)) + noiseC) return { fall, ended: false };
  const fromC = waters[waters.length - 1 - (last - from)] ?? now.waterC + downC;
  const begun = { fellC: fall.fellC + downC, moving: true, atS: clockS, fromC, fromLevelC: level };
  return { fall: { ...fall, ...begun }, ended: false };
}

/** What the reading fell by while nobody heard it, beyond what the fastest loss and the food could do meanwhile. */
function acrossGap(fall: Fall, now: BalanceNow, lid: { mean: number; sd: number }, clockS: number): Fall {
  const goneS = Math.max(0, clockS - fall.atS);
  const mostC = goneS * (fastestLoss(now, lid) + now.lossCPerS + FOOD_FACTOR * now.foodCPerS);
  const fellC = fall.fromC - now.waterC - mostC - LEAST_C - 6 * now.meanSdC;
  return { ...fall, fellC: Math.max(fall.fellC, fellC), fromLevelC: 0 };
}

/**
 * The controller was away: what had fallen stays unexplained, and what falls meanwhile is told from the last reading
 * before, `lastC` at `lastAtS`; null where nobody knows for how long it was away.
 */
export function fallWhileAway(fall: Fall, last: { celsius: number; atS: number } | null): Fall {
  if (last === null) return { ...fall, moving: false };
  const from = fall.fellC < LEAST_C ? { fromC: last.celsius, atS: last.atS } : {};
  return { ...fall, ...from, moving: true, fromLevelC: 0 };
}

/**
 * A person said what it was, or a second probe saw the same. What they said explains at most so much, degC: a jug of
 * water is no reason for a reading that fell to the room's.
 */
export function explainFall(fall: Fall, mostC = Number.POSITIVE_INFINITY): Fall {
  if (fall.fellC === 0 && !fall.moving) return fall;
  const explainedC = Math.min(fall.fellC, mostC);
  const leftC = fall.fellC - explainedC;
  return { ...fall, fellC: leftC < LEAST_C ? 0 : leftC, fromC: fall.fromC - explainedC, moving: false };
}

import { counted, someOf } from './refusal.ts';

/** What a common digital sensor gives before its first measurement, C. */
const POWER_ON_C = 85;
/** A bath does not come so much nearer to 85 C from one row to the next. */
const JUMP_K = 10;
/** Round a lone reading the bath is the same before and after, K. */
const SAME_K = 5;
/** Rows further apart than this may have seen the bath heated between them, s. */
const SOON_S = 600;

/**
 * Takes readings of exactly 85 C out where they are a digital sensor's before its first measurement: a lone one among
 * colder ones, and a run that the bath is said to have jumped into and out of. A bath that was heated to 85 C stays.
 * @returns the readings with NaN for those; what was taken is added to `repairs`.
 */
export function withoutPowerOn(
  celsius: Float64Array,
  seconds: Float64Array,
  lineOf: (i: number) => number,
  repairs: string[],
): Float64Array {
  const known = [...celsius.keys()].filter((i) => !Number.isNaN(celsius[i]!));
  const taken: number[] = [];
  let runs = 0;
  for (let k = 0; k < known.length; k++) {
    if (celsius[known[k]!] !== POWER_ON_C) continue;
    let last = k;
    while (last + 1 < known.length && celsius[known[last + 1]!] === POWER_ON_C) last++;
    const run = known.slice(k, last + 1);
    const sides = [known[k - 1], known[last + 1]] as const;
    if (run.length === 1 ? isLone(celsius, sides) : isJumpedInto(celsius, seconds, run, sides)) {
      taken.push(...run);
      if (run.length > 1) runs++;
    }
    k = last;
  }
  if (taken.length === 0) return celsius;
  const without = celsius.slice();
  for (const i of taken) without[i] = Number.NaN;
  repairs.push(
    `Took ${runs === 0 ? counted(taken.length, 'lone reading') : counted(taken.length, 'reading')} of 85 C for a sensor that had just been switched on${runs === 0 ? '' : ' or lost its supply'} (line ${someOf(taken.map(lineOf))}).`,
  );
  return without;
}

type Sides = readonly [before: number | undefined, after: number | undefined];

function isLone(celsius: Float64Array, [before, after]: Sides): boolean {
  const [a, b] = [celsius[before ?? after ?? -1], celsius[after ?? before ?? -1]];
  if (a === undefined || b === undefined) return false;
  return POWER_ON_C - Math.max(a, b) > JUMP_K && Math.abs(a - b) < SAME_K;
}

/** A jump at each end that the log has, at one of them at least, between rows that lie close in time. */
function isJumpedInto(
  celsius: Float64Array,
  seconds: Float64Array,
  run: readonly number[],
  [before, after]: Sides,
): boolean {
  if (before === undefined && after === undefined) return false;
  const jumps = (outside: number | undefined, inside: number) =>
    outside === undefined ||
    (POWER_ON_C - celsius[outside]! > JUMP_K && Math.abs(seconds[outside]! - seconds[inside]!) <= SOON_S);
  return jumps(before, run[0]!) && jumps(after, run.at(-1)!);
}

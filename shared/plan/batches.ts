/**
 * Which dish goes in when: back from the table by what each needs, gathered into as few batches as can be, kept out
 * of the night, and not before it is possible.
 */
import { isTough, type Kitchen } from './kitchen.ts';
import type { Dish } from './types.ts';
import { baggingS } from './usual.ts';
import { aroundNight, inNight } from './zone.ts';

const MINUTE_MS = 60_000;
const GRAIN_MS = 5 * MINUTE_MS;
/** Dishes wanted in within this of each other go in together: two openings less, and no cold bag beside a warm one. */
const TOGETHER_MS = 60 * MINUTE_MS;
/** What is moved before the night is done this long before it begins: there is still a look to be taken. */
export const BEFORE_NIGHT_MS = 30 * MINUTE_MS;
/** After its core is near the water a dish is given this long to count as safe before a cold one may join it. */
const SAFE_AFTER_HOT_S = 3600;

/** Dishes that go in together. */
export interface Batch {
  readonly inMs: number;
  readonly dishes: readonly Dish[];
}

/** What goes in when, and the bath before it. */
export interface Schedule {
  readonly batches: readonly Batch[];
  readonly bathOnMs: number;
  /** Heat-up of the bath, s: low, middle, high of its band. */
  readonly heatUp: { readonly lowS: number; readonly middleS: number; readonly highS: number };
  /** Before the night instead of in it. */
  readonly movedFromMs: number | null;
  /** Wanted in before it is possible. */
  readonly short: boolean;
  readonly earliestMs: number;
}

/** The last five minutes at or before an instant, ms. */
export const floorGrain = (ms: number) => Math.floor(ms / GRAIN_MS) * GRAIN_MS;
/** The first five minutes at or after an instant, ms. */
export const ceilGrain = (ms: number) => Math.ceil(ms / GRAIN_MS) * GRAIN_MS;

/**
 * The schedule at a bath temperature; null where the rig does not surely get there.
 * @param outMs when a dish has to be out of the bath
 */
export function scheduleAt(
  kitchen: Kitchen,
  dishes: readonly Dish[],
  bathC: number,
  outMs: (dish: Dish) => number,
  extraMs = 0,
): Schedule | null {
  const band = kitchen.heatUp(bathC);
  if (!band || band.highS === null) return null;
  const heatUp = { lowS: band.lowS, middleS: band.middleS, highS: band.highS };
  const wanted = dishes
    .map((dish) => ({ dish, inMs: wantedInMs(kitchen, dish, bathC, outMs(dish)) - extraMs }))
    .sort((a, b) => a.inMs - b.inMs);
  const bags = wanted.reduce((sum, { dish }) => sum + dish.piecesCount, 0);
  const earliestMs = earliestInMs(kitchen, bags, bathC);
  const first = wanted[0]!.inMs;
  const short = first < earliestMs;
  // A tender piece is not left in for a night: somebody gets up, or it is served at another hour.
  const stay = short || !isTough(wanted[0]!.dish);
  const moved = stay ? first : beforeNight(kitchen, first, heatUp.highS, earliestMs);
  const batches = gather(kitchen, wanted, bathC, Math.max(earliestMs, moved));
  return {
    batches,
    bathOnMs: Math.max(kitchen.job.nowMs, floorGrain(batches[0]!.inMs - 1000 * heatUp.highS)),
    heatUp,
    movedFromMs: moved < first ? first : null,
    short,
    earliestMs,
  };
}

/** The soonest that food can go into a hot bath, from now. */
export function earliestInMs(kitchen: Kitchen, bags: number, bathC: number): number {
  const heatS = kitchen.heatUp(bathC)?.highS ?? Number.POSITIVE_INFINITY;
  return ceilGrain(kitchen.job.nowMs + 1000 * Math.max(heatS, baggingS(bags)));
}

function wantedInMs(kitchen: Kitchen, dish: Dish, bathC: number, outMs: number): number {
  const { needS } = kitchen.alone(dish, bathC);
  // Odds that are never reached ask for the longest that is looked at; the plan then says so.
  return floorGrain(outMs - 1000 * (needS ?? 48 * 3600));
}

/** Moves food and the start of the heat out of the night to the evening before, where that is still possible. */
function beforeNight(kitchen: Kitchen, inMs: number, heatUpS: number, earliestMs: number): number {
  const { night, zone } = kitchen.job;
  const onMs = inMs - 1000 * heatUpS;
  const at = inNight(inMs, night, zone) ? inMs : inNight(onMs, night, zone) ? onMs : null;
  if (at === null) return inMs;
  const evening = floorGrain(aroundNight(at, night, zone).beforeMs) - BEFORE_NIGHT_MS;
  return evening >= earliestMs ? evening : inMs;
}

function gather(
  kitchen: Kitchen,
  wanted: readonly { readonly dish: Dish; readonly inMs: number }[],
  bathC: number,
  firstMs: number,
): Batch[] {
  const { job } = kitchen;
  const batches: { inMs: number; dishes: Dish[]; freeMs: number }[] = [];
  for (const { dish, inMs } of wanted) {
    const last = batches.at(-1);
    const alone = kitchen.alone(dish, bathC);
    const ownMs = 1000 * (alone.hotS + SAFE_AFTER_HOT_S);
    const dark = isTough(dish) && inNight(inMs, job.night, job.zone);
    const at = dark ? floorGrain(aroundNight(inMs, job.night, job.zone).beforeMs) - BEFORE_NIGHT_MS : inMs;
    // A cold bag beside one that is not yet safe would begin its clock anew: it joins the earlier batch instead.
    if (last && (at < last.inMs + TOGETHER_MS || at < last.freeMs)) {
      last.dishes.push(dish);
      last.freeMs = Math.max(last.freeMs, last.inMs + ownMs);
    } else {
      const own = last ? at : firstMs;
      batches.push({ inMs: own, dishes: [dish], freeMs: own + ownMs });
    }
  }
  return batches;
}

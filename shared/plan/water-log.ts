/** The measured water of a running cook: thinned, and what happened to it put into words. */
import type { Balance } from '../bath/losses.ts';
import { heatUp } from '../bath/sizing.ts';

/** One reading of the water. */
export interface WaterRow {
  readonly atMs: number;
  readonly celsius: number;
}

/** Rows this far apart stand for a stretch nobody measured, ms. */
export const GAP_MS = 15 * 60_000;
/** Thinned rows are never further apart, ms. */
const LONGEST_MS = 5 * 60_000;
/** A reading this far off the straight line between its neighbours is kept, K. */
const BEND_K = 0.15;

/**
 * Orders rows by time, leaves out what is no number, and drops those on a straight line between their neighbours.
 * A regulated bath keeps a row every five minutes, a dip every bend of it.
 */
export function thinRows(rows: readonly WaterRow[]): WaterRow[] {
  const ordered = rows
    .filter(({ atMs, celsius }) => Number.isFinite(atMs) && Number.isFinite(celsius))
    .sort((a, b) => a.atMs - b.atMs);
  const kept: WaterRow[] = [];
  let from = 0;
  for (let i = 0; i < ordered.length; i++) {
    const row = ordered[i]!;
    const last = kept.at(-1);
    if (!last || i === ordered.length - 1) {
      kept.push(row);
      from = i;
      continue;
    }
    if (row.atMs === last.atMs) continue;
    const next = ordered[i + 1]!;
    if (next.atMs - last.atMs > LONGEST_MS || bends(ordered, from, i + 1)) {
      kept.push(row);
      from = i;
    }
  }
  return kept;
}

/** Whether any row between two leaves the straight line between them. */
function bends(rows: readonly WaterRow[], from: number, to: number): boolean {
  const [a, b] = [rows[from]!, rows[to]!];
  const slope = (b.celsius - a.celsius) / Math.max(1, b.atMs - a.atMs);
  for (let i = from + 1; i < to; i++) {
    const row = rows[i]!;
    if (Math.abs(row.celsius - (a.celsius + slope * (row.atMs - a.atMs))) > BEND_K) return true;
  }
  return false;
}

/** A stretch in which the water stood under its setpoint after having been at it. */
export interface Sag {
  readonly kind: 'dip' | 'heat-lost';
  readonly fromMs: number;
  /** Back near the setpoint; null: still under. */
  readonly backMs: number | null;
  readonly lowestC: number;
}

const AT_K = 0.5;
const SAG_K = 1.5;
/** Food put in this shortly before explains a dip, ms. */
const AFTER_FOOD_MS = 15 * 60_000;

/** Every sag of the water, each a dip from cold food or a loss of heat (power, element, lid, pump). */
export function sagsOf(rows: readonly WaterRow[], setpointC: number, foodInMs: readonly number[]): Sag[] {
  const sags: Sag[] = [];
  let from: number | null = null;
  let lowestC = setpointC;
  let lastAtMs: number | null = null;
  const close = (backMs: number | null) => {
    if (from !== null && lowestC < setpointC - SAG_K) {
      const since = from;
      const food = foodInMs.some((ms) => ms <= since + 120_000 && ms > since - AFTER_FOOD_MS);
      sags.push({ kind: food ? 'dip' : 'heat-lost', fromMs: since, lowestC, backMs });
    }
    from = null;
    lowestC = setpointC;
  };
  for (const { atMs, celsius } of rows) {
    if (celsius >= setpointC - AT_K) {
      close(atMs);
      lastAtMs = atMs;
    } else if (lastAtMs !== null) {
      from ??= lastAtMs;
      lowestC = Math.min(lowestC, celsius);
    }
  }
  close(null);
  return sags;
}

/** When the water first stood at its setpoint; null where it has not. */
export function firstHotMs(rows: readonly WaterRow[], setpointC: number): number | null {
  return rows.find((row) => row.celsius >= setpointC - AT_K)?.atMs ?? null;
}

/** Least rise from which a pace is told, K. */
const PACE_RISE_K = 4;

/**
 * How much slower than foreseen the bath has heated so far: time taken over time foreseen for the same rise; 1 while
 * too little has been seen. A longer rise counts, not the last minute.
 */
export function paceOf(rows: readonly WaterRow[], balance: Balance, lidOn: boolean): number {
  const last = rows.at(-1);
  if (!last) return 1;
  let start = rows.length - 1;
  while (start > 0 && rows[start - 1]!.celsius <= rows[start]!.celsius + 0.2) start--;
  const first = rows[start]!;
  if (last.celsius - first.celsius < PACE_RISE_K) return 1;
  const foreseen = heatUp(balance, first.celsius, last.celsius, lidOn).seconds;
  if (foreseen === null || foreseen <= 0) return 1;
  return Math.min(4, Math.max(0.4, (last.atMs - first.atMs) / 1000 / foreseen));
}

/**
 * How much slower than foreseen the bath has cooled in the fall that the log ends in; 1 while too little has been
 * seen. The log of any minutes without heat says more of a box than its description.
 */
export function coolPaceOf(rows: readonly WaterRow[], balance: Balance, lidOn: boolean): number {
  const last = rows.at(-1);
  if (!last) return 1;
  let start = rows.length - 1;
  while (start > 0 && rows[start - 1]!.celsius >= rows[start]!.celsius - 0.1) start--;
  // The top of the fall is still held by the heater.
  while (start < rows.length - 1 && rows[start + 1]!.celsius > rows[start]!.celsius - 0.05) start++;
  const first = rows[start]!;
  if (first.celsius - last.celsius < FALL_K) return 1;
  const foreseen = fallS(balance, first.celsius, last.celsius, lidOn);
  return Math.min(4, Math.max(0.1, (last.atMs - first.atMs) / 1000 / foreseen));
}

/** Least fall from which a pace is told, K. */
const FALL_K = 0.8;

/** A bath without heat: when it passes a temperature, with the spread of its losses. */
export interface CoolDown {
  readonly celsius: number;
  readonly atS: number;
  readonly lowS: number;
  readonly highS: number;
}

/**
 * Time for a bath without heat to fall to each temperature: t = integral of C dT / loss(T), by Simpson's rule.
 * @param lossSpread standard deviation of the loss as a share
 * @param pace time over time foreseen, as it was seen to be (see coolPaceOf)
 */
export function coolDown(
  balance: Balance,
  fromC: number,
  toC: readonly number[],
  lidOn: boolean,
  lossSpread: number,
  pace = 1,
): CoolDown[] {
  return toC.map((celsius) => {
    const atS = celsius >= fromC ? 0 : pace * fallS(balance, fromC, celsius, lidOn);
    const wide = 2.5758 * lossSpread;
    return { celsius, atS, lowS: atS * Math.exp(-wide), highS: atS * Math.exp(wide) };
  });
}

function fallS(balance: Balance, fromC: number, toC: number, lidOn: boolean): number {
  const intervals = 24;
  const width = (fromC - toC) / intervals;
  let seconds = 0;
  for (let i = 0; i <= intervals; i++) {
    const celsius = toC + i * width;
    const lossW = balance.loss(celsius, lidOn).totalW;
    if (!(lossW > 0)) return Number.POSITIVE_INFINITY;
    const capacityJK = balance.heatJ(celsius - 0.5, celsius + 0.5);
    const weight = i === 0 || i === intervals ? 1 : i % 2 === 1 ? 4 : 2;
    seconds += (weight * width * capacityJK) / (3 * lossW);
  }
  return seconds;
}

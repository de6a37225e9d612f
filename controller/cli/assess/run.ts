import { celsiusOf, startCore, stepCore } from './core.ts';
import { filmAt } from './film.ts';
import type { BathLog } from './log.ts';
import { Refusal } from './refusal.ts';
import type { Setup } from './setup.ts';
import { type Stretch, startWalk, type Walk } from './state.ts';
import { stepWalk } from './walk.ts';

/** The stretch that ends at a row of a log; the first row has none. */
export function stretchOf(log: BathLog, row: number): Stretch {
  const { seconds, bathC, coreC, gapBefore } = log;
  const gap = gapBefore[row]!;
  const from = coreC?.[row - 1] ?? Number.NaN;
  const to = coreC?.[row] ?? Number.NaN;
  return {
    fromC: bathC[row - 1]!,
    toC: bathC[row]!,
    seconds: seconds[row]! - seconds[row - 1]!,
    atS: seconds[row]!,
    gap,
    core: !gap && Number.isFinite(from) && Number.isFinite(to) ? { fromC: from, toC: to } : null,
    readC: readAt(log, row),
  };
}

function readAt({ coreC }: BathLog, row: number): number | null | undefined {
  if (!coreC) return undefined;
  const celsius = coreC[row] ?? Number.NaN;
  return Number.isFinite(celsius) ? celsius : null;
}

/** Carries a walk through rows of a log, from the one after `after` to `last`. */
export function runLog(
  setup: Setup,
  log: BathLog,
  begun = startWalk(setup, readAt(log, 0)),
  after = 0,
  last = log.seconds.length - 1,
): Walk {
  let walk = begun;
  for (let row = after + 1; row <= last; row++) walk = stepWalk(setup, walk, stretchOf(log, row));
  return walk;
}

const MOST_POINTS = 1_000_000;

/**
 * The middle case's core at even times, s and C, from the first row to the last. What lies inside a gap is left out:
 * nothing was measured there.
 * @throws Refusal where that would be more than a million points.
 */
export function coreSeries(setup: Setup, log: BathLog, everyS: number): [seconds: number, celsius: number][] {
  const endS = log.seconds.at(-1)!;
  if (endS / everyS > MOST_POINTS) {
    throw new Refusal(
      `--series ${everyS} would give ${Math.floor(endS / everyS)} points; expected at most ${MOST_POINTS}. Give more seconds.`,
    );
  }
  const { model, film } = setup;
  let core = startCore(model);
  const points: [number, number][] = [[0, rounded(celsiusOf(model, core))]];
  let due = 1;
  for (let row = 1; row < log.seconds.length; row++) {
    const { fromC, toC, seconds, atS, gap } = stretchOf(log, row);
    const startS = log.seconds[row - 1]!;
    const colder = Math.min(fromC, toC);
    const water = (at: number) => (gap ? colder : fromC + ((toC - fromC) * (at - startS)) / seconds);
    let before = startS;
    const stepTo = (at: number) => {
      core = stepCore(
        model,
        core,
        water(before),
        water(at),
        at - before,
        filmAt(film, water((before + at) / 2)).middle,
      );
      before = at;
    };
    for (; due * everyS <= atS; due++) {
      const at = due * everyS;
      stepTo(at);
      if (!gap || at === atS) points.push([at, rounded(celsiusOf(model, core))]);
    }
    stepTo(atS);
  }
  return points;
}

/** A ten-thousandth of a degree is below what the solver is good for. */
const rounded = (celsius: number) => Number(celsius.toFixed(4));

/**
 * What can be done with food that is in when dinner moves or the odds do: go on, hold, slow down, hotter, chill, serve
 * it firmer. Each with what it does to texture and to safety.
 */
import { limitProfile } from '../hazard/profiles.ts';
import type { Ahead } from './ahead.ts';
import { chillOf, reheatOf } from './chill.ts';
import { hazardsOf } from './food.ts';
import type { Kitchen } from './kitchen.ts';
import { warmBandFault } from './outcome.ts';
import { donenessOf, hoursAt, reachedFraction } from './ready.ts';
import { capOf } from './temperature.ts';
import { safeAllMs, type Trial, trialOf } from './trial.ts';
import type { Plan } from './types.ts';
import { clockText } from './zone.ts';

/** Something that can be done now, with what it does. */
export interface Option {
  readonly id: 'go-on' | 'hold' | 'slow-down' | 'hotter' | 'chill' | 'serve-firmer';
  /** To be set; null: nothing is set, or not before a person has looked. */
  readonly setpointC: number | null;
  /** A gentler bath only from then, when every standard is met (modelled); null: at any time. */
  readonly notBeforeMs: number | null;
  /** Chance that everything is ready at the table. */
  readonly oddsFraction: number;
  /** Chance that something has gone a step too far. */
  readonly overdoneFraction: number | null;
  readonly moistureHighPercent: number | null;
  readonly words: string;
  readonly texture: string;
  readonly safety: string;
}

/** Clear of the band in which the conservative rules limit time, with the probe's error, C. */
const HOLD_MARGIN_K = 2;
/** A plan whose odds are this near what was asked for needs no advice on its heat. */
const CONTENT = 0.03;

/** Options for bags that are in; none while nothing is. */
export function movedOptions(
  kitchen: Kitchen,
  plan: Plan,
  bags: readonly Ahead[],
  waterC: number,
  zeroMs: number,
): Option[] {
  const inNow = bags.filter((bag) => bag.soFar !== null && bag.outMs === null);
  if (inNow.length === 0) return [];
  const trial = trialOf(kitchen, plan, inNow, waterC, zeroMs);
  const { job } = kitchen;
  const goOn = optionAt(trial, 'go-on', plan.bathC, 'As it is');
  const options: Option[] = [goOn];
  const holdC = holdTemperature(job.profileId);
  const safeMs = safeAllMs(inNow, zeroMs);
  if (holdC < plan.bathC - 1) options.push(gentler(trial, 'hold', holdC, `Hold at ${holdC} C`, safeMs));
  const wanted = job.oddsFraction;
  if (goOn.oddsFraction > wanted + CONTENT && safeMs !== null) {
    const slower = lowest(holdC + 1, plan.bathC - 1, (c) => trial.odds(c) >= wanted);
    if (slower !== null)
      options.push(gentler(trial, 'slow-down', slower, `Slow down to ${slower} C`, safeMs));
  } else if (goOn.oddsFraction < wanted - CONTENT) {
    const cap = Math.floor(Math.min(capOf(kitchen).maxC, ...inNow.map((bag) => bag.dish.bath.highC)));
    const hotter = lowest(Math.ceil(plan.bathC + 1), cap, (c) => trial.odds(c) >= wanted) ?? cap;
    if (hotter > plan.bathC) options.push(optionAt(trial, 'hotter', hotter, `Hotter: ${hotter} C`));
    const firmer = firmerOption(kitchen, plan, inNow, zeroMs);
    if (firmer) options.push(firmer);
  }
  const chill = chillOption(kitchen, plan, inNow, zeroMs);
  return chill ? [...options, chill] : options;
}

function lowest(from: number, to: number, holds: (c: number) => boolean): number | null {
  let [low, high] = [Math.ceil(from), Math.floor(to) + 1];
  const end = high;
  while (low < high) {
    const middle = (low + high) >> 1;
    if (holds(middle)) high = middle;
    else low = middle + 1;
  }
  return low < end ? low : null;
}

/** The lowest bath that holds food hot for as long as one likes under a profile. */
export function holdTemperature(profileId: string): number {
  const profile = limitProfile(profileId);
  return Math.ceil((profile.warmBand?.highC ?? profile.hotHold.otherC) + HOLD_MARGIN_K);
}

const percent = (p: number) => `${Math.round(100 * p)} in 100`;

function optionAt(trial: Trial, id: Option['id'], bathC: number, title: string): Option {
  const { plan, kitchen } = trial;
  const oddsFraction = trial.odds(bathC);
  const overdoneFraction = trial.overdone(bathC);
  const moistureHighPercent = trial.moisture(bathC);
  const staysS = (Math.max(...plan.dishes.map((d) => d.outMs)) - kitchen.job.nowMs) / 1000;
  const profile = limitProfile(kitchen.job.profileId);
  const warm = warmBandFault(profile, bathC, staysS);
  return {
    id,
    setpointC: bathC,
    notBeforeMs: null,
    oddsFraction,
    overdoneFraction,
    moistureHighPercent,
    words: `${title}: ${percent(oddsFraction)} ready at the table.`,
    texture:
      overdoneFraction === null
        ? 'Stays as it is, a little drier with time.'
        : `${percent(overdoneFraction)} a step softer than wanted by then; up to ${(moistureHighPercent ?? 0).toFixed(0)} % of its weight as juice.`,
    safety:
      warm ??
      `Kept by the rule of hot holding as long as the bath stays at or above ${profile.hotHold.otherC.toFixed(1)} C and each piece met its standard first (modelled).`,
  };
}

/** A gentler bath: not before every standard is met, and not to be set at all while that is out of sight. */
function gentler(
  trial: Trial,
  id: 'hold' | 'slow-down',
  bathC: number,
  title: string,
  safeMs: number | null,
): Option {
  const { job } = trial.kitchen;
  const when =
    safeMs === null
      ? 'once every standard is met, which is not in sight'
      : safeMs <= job.nowMs
        ? 'now'
        : `from ${clockText(safeMs, job.zone)}, when every standard is met (modelled)`;
  const option = optionAt(trial, id, bathC, `${title} ${when}`);
  if (safeMs === null) return { ...option, setpointC: null };
  return { ...option, notBeforeMs: safeMs <= job.nowMs ? null : Math.ceil(safeMs) };
}

/** Served as the next firmer endpoint, where there is one. */
function firmerOption(kitchen: Kitchen, plan: Plan, bags: readonly Ahead[], zeroMs: number): Option | null {
  const tough = bags.filter(
    (bag) => bag.dish.endpoint !== 'sliceable' && bag.outcome.food.cut.tendernessClass !== null,
  );
  if (tough.length === 0) return null;
  let odds = 1;
  for (const bag of tough) {
    const outS = (plan.dishes.find((d) => d.dishId === bag.dish.dishId)!.outMs - zeroMs) / 1000;
    const { food, history } = bag.outcome;
    const doneness = donenessOf(food.cut.tendernessClass, bag.dish.endpoint, kitchen.job.beliefs);
    odds *=
      reachedFraction(doneness, 'sliceable', bag.tests, hoursAt(history.moments, outS, plan.bathC)) ?? 1;
  }
  return {
    id: 'serve-firmer',
    setpointC: null,
    notBeforeMs: null,
    oddsFraction: odds,
    overdoneFraction: null,
    moistureHighPercent: null,
    words: `Serve it in thin slices across the grain: ${percent(odds)} tender enough for that.`,
    texture: 'Firm to the bite, not falling apart.',
    safety: 'Only once its standard is met (modelled).',
  };
}

/** Out when ready, into ice, and made hot again for the table; where there is time for all of it. */
function chillOption(kitchen: Kitchen, plan: Plan, bags: readonly Ahead[], zeroMs: number): Option | null {
  const { job } = kitchen;
  const ways = bags.map(({ dish, outcome }) => {
    const chill = chillOf(outcome.food, dish.pieceKg, plan.bathC, job.profileId);
    const reheat = reheatOf(outcome.food, job.fridgeC, plan.bathC);
    return { chill, needS: (chill.coldS?.highS ?? Infinity) + (reheat.hotS?.highS ?? Infinity) };
  });
  const tableMs = Math.min(...plan.dishes.map((dish) => dish.outMs));
  const lastOutMs = tableMs - 1000 * Math.max(...ways.map(({ needS }) => needS));
  if (!(lastOutMs > job.nowMs) || !ways.every(({ chill }) => chill.ok)) return null;
  const outS = (lastOutMs - zeroMs) / 1000;
  const odds = bags.reduce((product, { outcome }) => product * outcome.odds.probabilityAt(outS), 1);
  const ice = ways.reduce((sum, { chill }) => sum + chill.iceKg, 0);
  const broken = bags.some(({ outcome }) => {
    const track = hazardsOf(outcome.history.piece);
    return track?.worst.limits.some((lane) => lane.breaches.length > 0) ?? false;
  });
  return {
    id: 'chill',
    setpointC: null,
    notBeforeMs: null,
    oddsFraction: odds,
    overdoneFraction: null,
    moistureHighPercent: null,
    words: `Take it out when the fork says so, at ${clockText(lastOutMs, job.zone)} at the latest, chill it in ${ice.toFixed(0)} kg of ice and make it hot again: ${percent(odds)} ready by then.`,
    texture: 'Softening stops; a little more juice is lost when it is made hot again.',
    safety: broken
      ? 'A limit was broken earlier: it is not to be kept. Serve or discard, as the person in charge decides.'
      : 'Keep only with a recorded cooling that met its rule and a measured fridge.',
  };
}

/**
 * Will this rig do it? Time to temperature, highest temperature, energy, evaporation and top-ups, with the lid
 * on and off, from a balance (`losses.ts`).
 */
import { liquidHeatJKg } from '../water/liquid.ts';
import type { Balance } from './losses.ts';

/** Heating from one temperature to another at full power. */
export interface HeatUp {
  /** s; null when the losses stop it on the way */
  seconds: number | null;
  kWh: number | null;
  evaporatedKg: number | null;
}

const NEVER: HeatUp = { seconds: null, kWh: null, evaporatedKg: null };
/** Intervals of Simpson's rule over the temperatures passed. */
const INTERVALS = 64;

/**
 * Time and energy of a heat-up: t = integral of C dT / (P - loss(T)), by Simpson's rule over temperature.
 * @returns zeros when it is already there; nulls when it never gets there
 */
export function heatUp(balance: Balance, fromC: number, toC: number, lidOn: boolean): HeatUp {
  if (!(Number.isFinite(fromC) && Number.isFinite(toC))) {
    throw new RangeError(`temperatures must be numbers, got ${fromC} and ${toC}`);
  }
  if (toC <= fromC) return { seconds: 0, kWh: 0, evaporatedKg: 0 };
  if (toC > balance.boilingC) return NEVER;
  const width = (toC - fromC) / INTERVALS;
  let seconds = 0;
  let evaporatedKg = 0;
  for (let i = 0; i <= INTERVALS; i++) {
    const celsius = fromC + i * width;
    const loss = balance.loss(celsius, lidOn);
    const spare = balance.watts - loss.totalW;
    if (spare <= 0) return NEVER;
    const capacityJK = balance.heatJ(celsius - width / 2, celsius + width / 2) / width;
    const weight = i === 0 || i === INTERVALS ? 1 : i % 2 === 1 ? 4 : 2;
    const part = ((weight * width) / 3) * (capacityJK / spare);
    seconds += part;
    evaporatedKg += (part * loss.evaporationKgH) / 3600;
  }
  return { seconds, kWh: (balance.watts * seconds) / 3.6e6, evaporatedKg };
}

/**
 * The temperature at which losses take all the power; the boiling point when they never do.
 * @returns C
 */
export function highestC(balance: Balance, lidOn: boolean): number {
  if (balance.loss(balance.boilingC, lidOn).totalW <= balance.watts) return balance.boilingC;
  let low = balance.roomC;
  let high = balance.boilingC;
  for (let i = 0; i < 60; i++) {
    const middle = (low + high) / 2;
    if (balance.loss(middle, lidOn).totalW > balance.watts) high = middle;
    else low = middle;
  }
  return low;
}

/** Holding a temperature. */
export interface Hold {
  /** false when full power cannot hold it */
  holds: boolean;
  meanW: number;
  dutyRatio: number;
  kWh: number;
  evaporatedKg: number;
  evaporationKgH: number;
}

/** Power, energy and water of holding `waterC` for `hours`. */
export function hold(balance: Balance, waterC: number, hours: number, lidOn: boolean): Hold {
  if (!(hours >= 0)) throw new RangeError(`hours is ${hours}; expected 0 or more`);
  const loss = balance.loss(waterC, lidOn);
  const meanW = Math.max(0, Math.min(balance.watts, loss.totalW));
  return {
    holds: loss.totalW <= balance.watts && waterC <= balance.boilingC,
    meanW,
    dutyRatio: balance.watts > 0 ? Math.max(0, loss.totalW) / balance.watts : Number.POSITIVE_INFINITY,
    kWh: (meanW * hours) / 1000,
    evaporatedKg: loss.evaporationKgH * hours,
    evaporationKgH: loss.evaporationKgH,
  };
}

/** When water has to be added. */
export interface TopUps {
  /** h from full to the lowest level allowed; null when it lasts beyond the job */
  everyHours: number | null;
  /** how many in the job, and litres each */
  count: number;
  litresEach: number;
}

/**
 * Top-ups of a job: the spare water between full and the lowest level allowed, used up by evaporation.
 * @param spareLitres water that may go before the lowest level
 */
export function topUps(evaporationKgH: number, spareLitres: number, hours: number): TopUps {
  if (!(spareLitres > 0)) {
    throw new RangeError(`spareLitres is ${spareLitres}; there must be water above the lowest level`);
  }
  if (!(evaporationKgH > 0)) return { everyHours: null, count: 0, litresEach: 0 };
  const everyHours = spareLitres / evaporationKgH;
  const count = Math.max(0, Math.ceil(hours / everyHours) - 1);
  return { everyHours: count > 0 ? everyHours : null, count, litresEach: count > 0 ? spareLitres : 0 };
}

/**
 * How far the bath falls when something cold goes in and heat is shared out, heater off: the most it can fall.
 * dT = m c (Tb - Tm) / (C + m c).
 * @param addedJK heat capacity of what goes in: 4180 J/K a litre of water, about 3500 a kilogram of meat
 * @returns K, below 0 for something warmer
 */
export function coldLoadDip(balance: Balance, waterC: number, addedJK: number, addedC: number): number {
  const bathJK = balance.heatJ(waterC - 0.5, waterC + 0.5);
  return (addedJK * (waterC - addedC)) / (bathJK + addedJK);
}

/** How well the figures of a balance are known: standard deviations as shares. */
export interface Spread {
  watts: number;
  capacity: number;
  loss: number;
}

/** For a box only described: supply voltage and element 6 %, water and walls 5 %, losses 30 % (judgement). */
export const DESCRIBED_SPREAD: Spread = { watts: 0.06, capacity: 0.05, loss: 0.3 };

function scaled(balance: Balance, watts: number, capacity: number, loss: number): Balance {
  return {
    ...balance,
    watts: balance.watts * watts,
    heatJ: (fromC, toC) => balance.heatJ(fromC, toC) * capacity,
    loss: (waterC, lidOn) => {
      const whole = balance.loss(waterC, lidOn);
      return { ...whole, totalW: whole.totalW * loss };
    },
  };
}

/** A time with its 99 % band, s; `highS` null when the slow end never gets there. */
export interface TimeBand {
  lowS: number;
  middleS: number;
  highS: number | null;
}

/** 99 % of a normal distribution lies within this many standard deviations. */
const Z99 = 2.5758;

/**
 * Time to temperature with a 99 % band: each figure moved by one standard deviation, the changes of log time
 * added in squares, up and down apart, since losses make the slow side longer.
 * @returns null when even the middle never gets there
 */
export function heatUpBand(
  balance: Balance,
  fromC: number,
  toC: number,
  lidOn: boolean,
  spread: Spread = DESCRIBED_SPREAD,
): TimeBand | null {
  const middle = heatUp(balance, fromC, toC, lidOn).seconds;
  if (middle === null) return null;
  if (middle === 0) return { lowS: 0, middleS: 0, highS: 0 };
  const slower: number[] = [];
  const faster: number[] = [];
  const shifts: (readonly [number, number, number])[] = [
    [-spread.watts, 0, 0],
    [0, spread.capacity, 0],
    [0, 0, spread.loss],
  ];
  for (const [watts, capacity, loss] of shifts) {
    // At the band's own edge and scaled back: near the limit of the power time bends away fast.
    for (const [sign, into] of [[1, slower] as const, [-1, faster] as const]) {
      const moved = scaled(
        balance,
        1 + sign * Z99 * watts,
        1 + sign * Z99 * capacity,
        Math.max(0, 1 + sign * Z99 * loss),
      );
      const seconds = heatUp(moved, fromC, toC, lidOn).seconds;
      into.push(seconds === null ? Number.POSITIVE_INFINITY : Math.log(seconds / middle));
    }
  }
  const high = middle * Math.exp(Math.hypot(...slower));
  return {
    lowS: middle * Math.exp(-Math.hypot(...faster)),
    middleS: middle,
    highS: Number.isFinite(high) ? high : null,
  };
}

/** What is asked of a rig. */
export interface Job {
  fillC: number;
  setpointC: number;
  hours: number;
  /** water that may go before the lowest level, L */
  spareLitres: number;
  /** per kWh in the cook's money; leave out for no cost */
  pricePerKWh?: number;
}

/** The answer for one way of running it. */
export interface Answer {
  lidOn: boolean;
  /** it reaches and holds the setpoint */
  does: boolean;
  highestC: number;
  heatUp: TimeBand | null;
  hold: Hold;
  /** heat-up, hold and warming of what is topped up */
  totalKWh: number | null;
  cost: number | null;
  evaporatedKg: number | null;
  topUps: TopUps;
}

/** "Will this rig do it?", with the lid on and with it off. */
export function willItDo(balance: Balance, job: Job, spread: Spread = DESCRIBED_SPREAD): [Answer, Answer] {
  const answer = (lidOn: boolean): Answer => {
    const heating = heatUp(balance, job.fillC, job.setpointC, lidOn);
    const holding = hold(balance, job.setpointC, job.hours, lidOn);
    const makeUpKWh = (holding.evaporatedKg * Math.max(0, liquidHeatJKg(job.fillC, job.setpointC))) / 3.6e6;
    const totalKWh = heating.kWh === null ? null : heating.kWh + holding.kWh + makeUpKWh;
    return {
      lidOn,
      does: heating.seconds !== null && holding.holds,
      highestC: highestC(balance, lidOn),
      heatUp: heatUpBand(balance, job.fillC, job.setpointC, lidOn, spread),
      hold: holding,
      totalKWh,
      cost: totalKWh === null || job.pricePerKWh === undefined ? null : totalKWh * job.pricePerKWh,
      evaporatedKg: heating.evaporatedKg === null ? null : heating.evaporatedKg + holding.evaporatedKg,
      topUps: topUps(holding.evaporationKgH, job.spareLitres, job.hours),
    };
  };
  return [answer(true), answer(false)];
}

import type { Shape } from '../../../shared/food/shape.ts';
import { type CoreMode, type Crossing, coreModes } from './modes.ts';

/**
 * The core of a brick or a finite cylinder in water that changes: Duhamel's integral over the product of the step
 * responses of its crossed slabs and cylinders (Incropera 5.8; Carslaw & Jaeger 1.14), exact for water that goes in
 * straight lines, with one film on every face. The products' many modes are gathered on a grid of rates, and what the
 * core has not felt yet is left out by a short delay.
 */
export interface CrossedBody {
  /** The grid's rates, 1/s. */
  readonly perS: readonly number[];
  /** Share of a jump left at the core at the end of the delay, by rate. */
  readonly shares: readonly number[];
  /** Until so long after a jump the core is where it was, s. */
  readonly delayS: number;
}

/** A stretch of water that goes in a straight line. */
type Stretch = readonly [seconds: number, fromC: number, toC: number];

/** A core under way; plain data. */
export interface CrossedState {
  /** How far the core lags behind the water, by rate, K. */
  readonly lags: readonly number[];
  /** Water at the end of what the lags have seen, C. */
  readonly waterC: number;
  /** Water that they have not seen yet: as long as the delay. */
  readonly ahead: readonly Stretch[];
}

/** R2/alpha: before so much of it a core has felt less than a hundred-thousandth of a jump. */
const DELAY_FOURIER = 0.02;
/** Modes that die within the delay to exp of minus this are left out. */
const GONE = 14;
/** A side so many times the thickness is as good as endless: it is felt when next to nothing of the jump is left. */
const ENDLESS = 10;
/** Ratio of neighbouring rates of the grid is exp of this; cubic interpolation between them is good to 1e-6. */
const GRID_STEP = 0.05;

/** The slabs and cylinders whose crossing is a brick or a finite cylinder of that thickness, m; null for other shapes. */
export function crossingsOf(shape: Shape, thicknessM: number): Crossing[] | null {
  const half = thicknessM / 2;
  const times = (multiple: number) => half * Math.min(ENDLESS, multiple);
  if (shape.kind === 'brick') {
    return [1, shape.width, shape.length].map((multiple) => ({ kind: 'slab', radiusM: times(multiple) }));
  }
  if (shape.kind !== 'finite-cylinder') return null;
  // A disc's thickness is its height, a rod's its diameter.
  const [radius, height] = shape.length >= 1 ? [1, shape.length] : [1 / shape.length, 1];
  return [
    { kind: 'cylinder', radiusM: times(radius) },
    { kind: 'slab', radiusM: times(height) },
  ];
}

/** The response of a crossed body; diffusivity m2/s, conductivity W/(m K), film W/(m2 K). */
export function crossedBody(
  crossings: readonly Crossing[],
  material: { readonly diffusivity: number; readonly conductivity: number; readonly film: number },
): CrossedBody {
  const thinnest = Math.min(...crossings.map(({ radiusM }) => radiusM));
  const delayS = (DELAY_FOURIER * thinnest ** 2) / material.diffusivity;
  const fastest = GONE / delayS;
  let modes: CoreMode[] = [{ perS: 0, share: 1 }];
  for (const crossing of crossings) {
    const own = coreModes(crossing, material, fastest);
    modes = modes.flatMap((a) => own.map((b) => ({ perS: a.perS + b.perS, share: a.share * b.share })));
    modes = modes.filter(({ perS }, i) => i === 0 || perS <= fastest);
  }
  return { ...gathered(modes, delayS), delayS };
}

/** Gathers modes on a geometric grid of rates, by cubic Lagrange weights in the logarithm of the rate. */
function gathered(modes: readonly CoreMode[], delayS: number): { perS: number[]; shares: number[] } {
  const logs = modes.map(({ perS }) => Math.log(perS));
  const low = Math.min(...logs) - GRID_STEP;
  const size = Math.ceil((Math.max(...logs) - low) / GRID_STEP) + 3;
  const shares = new Array<number>(size).fill(0);
  modes.forEach(({ perS, share }, i) => {
    const at = (logs[i]! - low) / GRID_STEP;
    const base = Math.max(1, Math.floor(at));
    const s = at - base;
    const left = share * Math.exp(-perS * delayS);
    const weights = [
      (-s * (s - 1) * (s - 2)) / 6,
      ((s + 1) * (s - 1) * (s - 2)) / 2,
      (-(s + 1) * s * (s - 2)) / 2,
      ((s + 1) * s * (s - 1)) / 6,
    ];
    weights.forEach((weight, k) => {
      shares[base - 1 + k] = shares[base - 1 + k]! + left * weight;
    });
  });
  return { perS: shares.map((_, i) => Math.exp(low + i * GRID_STEP)), shares };
}

/** Food that has the same temperature throughout, C. */
export function startCrossed(body: CrossedBody, celsius: number): CrossedState {
  return { lags: body.perS.map(() => 0), waterC: celsius, ahead: [[body.delayS, celsius, celsius]] };
}

/** Carries the core through water that goes in a straight line for `seconds`. */
export function stepCrossed(
  body: CrossedBody,
  state: CrossedState,
  fromC: number,
  toC: number,
  seconds: number,
): CrossedState {
  if (!(seconds > 0)) return state;
  const ahead: Stretch[] = [...state.ahead, [seconds, fromC, toC]];
  const lags = state.lags.slice();
  let { waterC } = state;
  let due = seconds;
  let used = 0;
  while (due > 0 && used < ahead.length) {
    const [length, from, to] = ahead[used]!;
    const part = Math.min(due, length);
    const reached = part === length ? to : from + ((to - from) * part) / length;
    drive(body.perS, lags, from - waterC, (reached - from) / part, part);
    waterC = reached;
    due -= part;
    if (part === length) used++;
    else ahead[used] = [length - part, reached, to];
  }
  return { lags, waterC, ahead: ahead.slice(used) };
}

/** A jump of the water, then a straight line of `slope` K/s, upon every lag. */
function drive(perS: readonly number[], lags: number[], jump: number, slope: number, seconds: number): void {
  for (let i = 0; i < lags.length; i++) {
    const kept = Math.exp(-perS[i]! * seconds);
    lags[i] = (lags[i]! + jump) * kept + (slope * (1 - kept)) / perS[i]!;
  }
}

/** Temperature of the core, C. */
export function crossedCoreC(body: CrossedBody, state: CrossedState): number {
  let core = state.waterC;
  for (let i = 0; i < state.lags.length; i++) core -= body.shares[i]! * state.lags[i]!;
  return core;
}

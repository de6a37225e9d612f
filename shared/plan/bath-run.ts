/**
 * The bath and its bags run forward together: water lumped, heated at full power up to the setpoint; each piece by
 * conduction. What cold bags do to the water, and the water to the bags, comes out of it.
 */
import type { Balance } from '../bath/losses.ts';
import { type Circulation, type Film, filmFor } from '../food/film.ts';
import { addTender, startTender, type TenderState } from '../tender/kinetics.ts';
import { endHazards, type Food, type Piece, startPiece, stepPiece } from './food.ts';

/** Pieces of one dish that go in together. Times in seconds of the run's own clock. */
export interface Load {
  readonly food: Food;
  readonly count: number;
  readonly inS: number;
  /** Where they already are on their way. */
  readonly from?: { readonly piece: Piece; readonly tender: TenderState };
}

/** A bath and what is put into it. */
export interface Scene {
  readonly startS: number;
  readonly waterC: number;
  readonly setpointC: number;
  readonly balance: Balance;
  readonly lidOn: boolean;
  readonly circulation: Circulation;
  readonly profileId: string;
  readonly loads: readonly Load[];
  /** No heat from the start until then, s; none where absent. */
  readonly heatFromS?: number;
  /** With hazards and envelope, or the middle case alone. */
  readonly full: boolean;
}

/** One moment of a load. */
export interface Moment {
  readonly atS: number;
  readonly coreC: number;
  readonly slowC: number;
  readonly fastC: number;
  readonly tender: TenderState;
}

/** What became of a load. */
export interface History {
  readonly load: Load;
  readonly moments: readonly Moment[];
  readonly piece: Piece;
}

/** The water at one moment. */
export interface WaterMoment {
  readonly atS: number;
  readonly celsius: number;
}

/** A bath run forward. */
export interface Run {
  readonly water: readonly WaterMoment[];
  readonly histories: readonly History[];
}

/** First step after something cold went in, s; steps grow by half from there. */
const FIRST_S = 15;
const GROWTH = 1.5;
/** Longest step while the heater is at its limit, while food warms, and when all is settled. */
const LONGEST = { limited: 120, warming: 300, settled: 900 } as const;
/** A core so near the water changes nothing any more, K. */
const NEAR_K = 0.25;
/** Later dips still matter to a slow core further away than this, K. */
const NEAR_SLOW_K = 4;

/** Food as warm as the water takes no heat and changes by nothing: it sleeps until the water leaves it, K. */
const ASLEEP_K = 0.05;
const WAKE_K = 0.3;

interface Live {
  readonly load: Load;
  readonly piece: Piece;
  tender: TenderState;
  readonly moments: Moment[];
  /** Since when it sleeps, s; null: awake. */
  asleepS: number | null;
}

/**
 * Runs until every load is in and has settled, but no further than `untilS`.
 * `settled` may ask for more than a settled core: it is handed each load's history.
 */
export function runBath(
  scene: Scene,
  untilS: number,
  enough: (history: History) => boolean = () => true,
): Run {
  const live: Live[] = [];
  const waiting = [...scene.loads].sort((a, b) => a.inS - b.inS);
  const water: WaterMoment[] = [{ atS: scene.startS, celsius: scene.waterC }];
  let now = scene.startS;
  let celsius = scene.waterC;
  let stride = FIRST_S;
  let slope = 0;
  let figures = figuresAt(scene, celsius);
  while (now < untilS) {
    if (enter(scene, waiting, live, now)) {
      stride = FIRST_S;
      slope = 0;
    }
    if (waiting.length === 0 && settled(live, celsius, scene.setpointC, enough)) break;
    const next = Math.min(now + stride, untilS, waiting[0]?.inS ?? Infinity);
    const seconds = next - now;
    const toC = Math.min(scene.setpointC + 5, celsius + slope * seconds);
    const film = filmFor({ circulation: scene.circulation, waterC: celsius });
    const heatW = stepLoads(live, { fromC: celsius, toC, seconds, atS: next, film });
    if (Math.abs(figures.atC - celsius) > SAME_K) figures = figuresAt(scene, celsius);
    const after = stepWater(scene, figures, celsius, heatW, seconds, now);
    slope = (after - celsius) / seconds;
    // At the setpoint the regulator holds: what went before says nothing of the next step.
    if (after >= scene.setpointC - 0.01) slope = 0;
    celsius = after;
    now = next;
    water.push({ atS: now, celsius });
    stride = Math.min(stride * GROWTH, longest(live, celsius, scene.setpointC));
  }
  return {
    water,
    histories: live.map((one) => ({ load: one.load, moments: one.moments, piece: one.piece })),
  };
}

function enter(scene: Scene, waiting: Load[], live: Live[], now: number): boolean {
  let any = false;
  while (waiting.length > 0 && waiting[0]!.inS <= now) {
    const load = waiting.shift()!;
    const piece = load.from?.piece ?? startPiece(load.food, scene.profileId, scene.full);
    const tender = load.from?.tender ?? startTender();
    const one: Live = {
      load,
      piece: { ...piece, profile: piece.profile.slice() },
      tender,
      moments: [],
      asleepS: null,
    };
    one.moments.push(momentOf(one, now));
    live.push(one);
    any = true;
  }
  return any;
}

function momentOf(one: Live, atS: number): Moment {
  const { track, profile } = one.piece;
  const coreC = profile[0]!;
  const slowC = track ? track.profiles[0]![0]! : coreC;
  const fastC = track ? track.profiles[2]![0]! : coreC;
  return { atS, coreC, slowC, fastC, tender: one.tender };
}

function stepLoads(
  live: Live[],
  step: { fromC: number; toC: number; seconds: number; atS: number; film: Film },
): number {
  let heatW = 0;
  for (const one of live) {
    const { piece, moments, load } = one;
    const before = piece.profile[0]!;
    if (one.asleepS !== null) {
      if (Math.abs(step.fromC - before) < WAKE_K && Math.abs(step.toC - before) < WAKE_K) continue;
      wake(one, step.atS - step.seconds);
    }
    heatW += (load.count * stepPiece(load.food, piece, step)) / step.seconds;
    const core = piece.profile[0]!;
    one.tender = addTender(one.tender, before, core, step.seconds);
    const now = momentOf(one, step.atS);
    moments.push(now);
    if (now.slowC > step.toC - NEAR_SLOW_K) endHazards(piece);
    const steady = Math.abs(step.toC - step.fromC) < 0.02 && piece.track === null;
    if (steady && Math.abs(core - step.toC) < ASLEEP_K) one.asleepS = step.atS;
  }
  return heatW;
}

/** Its sleep counts as softening at the core it had; a moment marks its end. */
function wake(one: Live, atS: number): void {
  const core = one.piece.profile[0]!;
  one.tender = addTender(one.tender, core, core, atS - (one.asleepS ?? atS));
  one.asleepS = null;
  one.moments.push(momentOf(one, atS));
}

/** Capacity and loss change by a thousandth in this much, K: so long the last ones do. */
const SAME_K = 0.1;

interface WaterFigures {
  readonly atC: number;
  readonly capacityJK: number;
  readonly lossW: number;
}

function figuresAt({ balance, lidOn }: Scene, atC: number): WaterFigures {
  return { atC, capacityJK: balance.heatJ(atC - 0.5, atC + 0.5), lossW: balance.loss(atC, lidOn).totalW };
}

/** Water after a step: full power until the setpoint, then just what is lost. */
function stepWater(
  scene: Scene,
  figures: WaterFigures,
  celsius: number,
  foodW: number,
  seconds: number,
  now: number,
): number {
  const { balance, setpointC } = scene;
  const { capacityJK } = figures;
  const lostW = figures.lossW + foodW;
  const wantedW = lostW + ((setpointC - celsius) * capacityJK) / seconds;
  const mayHeat = now >= (scene.heatFromS ?? Number.NEGATIVE_INFINITY);
  const heatW = mayHeat ? Math.min(balance.watts, Math.max(0, wantedW)) : 0;
  return Math.min(balance.boilingC, celsius + ((heatW - lostW) * seconds) / capacityJK);
}

function settled(live: Live[], celsius: number, setpointC: number, enough: (h: History) => boolean): boolean {
  if (live.length === 0) return celsius >= setpointC - 0.01;
  if (celsius < setpointC - 0.05) return false;
  return live.every((one) => {
    const last = one.moments.at(-1)!;
    return last.slowC > celsius - NEAR_SLOW_K && last.coreC > celsius - NEAR_K && enough(one);
  });
}

function longest(live: Live[], celsius: number, setpointC: number): number {
  if (Math.abs(celsius - setpointC) > 0.3) return LONGEST.limited;
  return live.every((one) => one.moments.at(-1)!.slowC > celsius - 1) ? LONGEST.settled : LONGEST.warming;
}

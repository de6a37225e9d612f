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

export interface WaterMoment {
  readonly atS: number;
  readonly celsius: number;
}

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

interface Live {
  readonly load: Load;
  readonly piece: Piece;
  tender: TenderState;
  readonly moments: Moment[];
  heatW: number;
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
    const after = stepWater(scene, celsius, heatW, seconds, now);
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
      heatW: 0,
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
    const before = one.piece.profile[0]!;
    const joules = stepPiece(one.load.food, one.piece, step);
    one.heatW = (one.load.count * joules) / step.seconds;
    heatW += one.heatW;
    one.tender = addTender(one.tender, before, one.piece.profile[0]!, step.seconds);
    one.moments.push(momentOf(one, step.atS));
    if (one.moments.at(-1)!.slowC > step.toC - NEAR_SLOW_K) endHazards(one.piece);
  }
  return heatW;
}

/** Water after a step: full power until the setpoint, then just what is lost. */
function stepWater(scene: Scene, celsius: number, foodW: number, seconds: number, now: number): number {
  const { balance, lidOn, setpointC } = scene;
  const capacityJK = balance.heatJ(celsius - 0.5, celsius + 0.5);
  const lostW = balance.loss(celsius, lidOn).totalW + foodW;
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

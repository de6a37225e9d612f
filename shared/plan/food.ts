/** A dish's pieces as the bath and the clock see them. */

import { meatDensity } from '../bag/advice.ts';
import { type Body, type Grid, makeGrid, meanC, startProfile, stepProfileInto } from '../food/conduction.ts';
import { type Cut, cutById } from '../food/cuts.ts';
import type { Film } from '../food/film.ts';
import { type EnvelopeMember, envelopeMembers, memberFilm } from '../hazard/envelope.ts';
import { chooseStandard } from '../hazard/standards/choose.ts';
import { startTrack, type Track } from '../hazard/track.ts';
import { stepTrack } from '../hazard/track-step.ts';
import { PlanFault } from './fault.ts';
import type { Dish } from './types.ts';

/** What does not change about a dish's pieces. */
export interface Food {
  readonly dish: Dish;
  readonly cut: Cut;
  readonly densityKgM3: number;
  /** A whole red-meat roast, for hot holding. */
  readonly roast: boolean;
  readonly standardId: string;
  /** Slow, middle, fast. */
  readonly members: readonly [EnvelopeMember, EnvelopeMember, EnvelopeMember];
  readonly grid: Grid;
  /** Heat capacity of one piece. */
  readonly heatJK: number;
}

/** Points from core to surface: fewer than the solver's own choice, for a core to 0.03 C and plans at once. */
const NODES = 11;

/** The cut of a dish. @throws PlanFault where there is none */
export function cutOfDish(dish: Pick<Dish, 'cutId'>): Cut {
  const cut = cutById(dish.cutId);
  if (cut) return cut;
  throw new PlanFault([`cut "${dish.cutId}" is not known.`]);
}

/** Makes the food of a dish, for water at about `waterC`. */
export function foodOf(dish: Dish, waterC: number): Food {
  const cut = cutOfDish(dish);
  const { thicknessMm, betaRatio, startC } = dish;
  const members = envelopeMembers({ cut, thicknessMm, beta: betaRatio, startC, waterC });
  const body: Body = members[1].body;
  const grid = makeGrid({ ...body, nodes: NODES });
  const densityKgM3 = meatDensity(cut.composition.fat);
  return {
    dish,
    cut,
    densityKgM3,
    roast: cut.family === 'red-meat' && !cut.ground,
    standardId: chooseStandard(cut).primary.id,
    members,
    grid,
    heatJK: (dish.pieceKg / densityKgM3) * (body.conductivity / body.diffusivity),
  };
}

/** One piece on its way: the middle case alone, or with every hazard of its envelope. */
export interface Piece {
  profile: number[];
  /** Hazards and envelope; null for the middle case alone. */
  track: Track | null;
  /** The track as it stood when nothing more could come of it. */
  ended: Track | null;
}

/** A piece as it goes in. `full`: with its hazards, by the rules of this profile. */
export function startPiece(food: Food, profileId: string, full: boolean): Piece {
  if (!full) return { profile: startProfile(food.grid, food.members[1].startC), track: null, ended: null };
  const { dish, cut } = food;
  const track = startTrack({
    cut,
    thicknessMm: dish.thicknessMm,
    beta: dish.betaRatio,
    startC: dish.startC,
    standardIds: [food.standardId],
    profileId,
    species: cut.species,
    roast: food.roast,
    nodes: NODES,
  });
  return { profile: track.profiles[1]!.slice(), track, ended: null };
}

/** Water of a step, linear between its ends. */
export interface Water {
  readonly fromC: number;
  readonly toC: number;
  readonly seconds: number;
  readonly atS: number;
  readonly film: Film;
  readonly gap?: boolean;
  readonly cooling?: boolean;
}

/** Carries a piece through a step of water, in place. Gives the heat it took, J. */
export function stepPiece(food: Food, piece: Piece, water: Water): number {
  const before = meanC(food.grid, piece.profile);
  if (piece.track) {
    piece.track = stepTrack(piece.track, {
      fromC: water.fromC,
      toC: water.toC,
      seconds: water.seconds,
      atS: water.atS,
      film: water.film,
      cooling: water.cooling ?? false,
      gap: water.gap ?? false,
    });
    piece.profile = piece.track.profiles[1]!.slice();
  } else {
    const film = memberFilm(food.members[1], water.film);
    stepProfileInto(food.grid, piece.profile, piece.profile, film, water.fromC, water.toC, water.seconds);
  }
  return food.heatJK * (meanC(food.grid, piece.profile) - before);
}

/** What was last known of a piece's hazards. */
export function hazardsOf(piece: Piece): Track | null {
  return piece.track ?? piece.ended;
}

/** Once its come-up is over and its standard met in the worst case, only the middle case is carried on. */
export function endHazards(piece: Piece): void {
  const { track } = piece;
  if (!track) return;
  const { lethality, limits } = track.worst;
  const met = lethality[0]!.metAtS !== null || (lethality[0]!.dwell?.metAtS ?? null) !== null;
  if (!met || limits.some((lane) => lane.comeUpDoneAtS === null)) return;
  piece.ended = track;
  piece.track = null;
}

import type { Body } from '../../../shared/food/conduction.ts';
import { coreC, type Grid, makeGrid, startProfile, stepProfile } from '../../../shared/food/conduction.ts';
import type { Shape } from '../../../shared/food/shape.ts';
import {
  type CrossedBody,
  type CrossedState,
  crossedBody,
  crossedCoreC,
  crossingsOf,
  startCrossed,
  stepCrossed,
} from './crossed.ts';

/** What carries the middle case's core: the solver for round shapes and slabs, crossed responses for bricks and cylinders with ends. */
export type CoreModel =
  | { readonly kind: 'layers'; readonly grid: Grid; readonly startC: number }
  | { readonly kind: 'crossed'; readonly body: CrossedBody; readonly startC: number };

/** A core under way; plain data. */
export type CoreState =
  | { readonly kind: 'layers'; readonly profile: readonly number[] }
  | { readonly kind: 'crossed'; readonly state: CrossedState };

/**
 * The model for a shape.
 * @param body its material, thickness and the beta nearest to it. @param startC C.
 * @param film W/(m2 K), for crossed responses, which have one throughout.
 */
export function coreModel(shape: Shape, body: Body, film: number, startC: number): CoreModel {
  const crossings = crossingsOf(shape, body.thicknessM);
  if (crossings) return { kind: 'crossed', body: crossedBody(crossings, { ...body, film }), startC };
  return { kind: 'layers', grid: makeGrid(body), startC };
}

/** Food that has just gone in. */
export function startCore(model: CoreModel): CoreState {
  return model.kind === 'crossed'
    ? { kind: 'crossed', state: startCrossed(model.body, model.startC) }
    : { kind: 'layers', profile: startProfile(model.grid, model.startC) };
}

/** Carries a core through water that goes in a straight line for `seconds`, with a film of so many W/(m2 K). */
export function stepCore(
  model: CoreModel,
  core: CoreState,
  fromC: number,
  toC: number,
  seconds: number,
  film: number,
): CoreState {
  if (model.kind === 'crossed' && core.kind === 'crossed') {
    return { kind: 'crossed', state: stepCrossed(model.body, core.state, fromC, toC, seconds) };
  }
  if (model.kind === 'layers' && core.kind === 'layers') {
    const surface = { film, fromC, toC };
    return { kind: 'layers', profile: stepProfile(model.grid, core.profile, surface, seconds) };
  }
  throw new TypeError(`a core of kind ${core.kind} was given to a model of kind ${model.kind}`);
}

/** Temperature of a core, C. */
export function celsiusOf(model: CoreModel, core: CoreState): number {
  return model.kind === 'crossed' && core.kind === 'crossed'
    ? crossedCoreC(model.body, core.state)
    : coreC((core as CoreState & { kind: 'layers' }).profile);
}

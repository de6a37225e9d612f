/** The rig as the controller knows it, made into one to plan with: identified once it has run, else as configured. */
import type { Spread } from '../bath/sizing.ts';
import type { Circulation } from '../food/film.ts';
import { SETPOINT_MARGIN_C, SETPOINT_MAX_C } from '../wire/command.ts';
import type { Config } from '../wire/config.ts';
import type { RigView } from '../wire/status.ts';
import { type IdentifiedRig, type Rig, USUAL_RIG } from './rig.ts';

/** What the configuration says of the box. */
export interface ConfiguredBox {
  readonly litres: number;
  readonly elementWatts: number;
  /** Water over the element when full, L; null: not said. */
  readonly spareLitres: number | null;
  readonly circulation: Circulation;
  /** Highest setpoint that the controller takes, C. */
  readonly setpointMaxC?: number;
}

/** What a checked configuration says of the box and of its highest setpoint. */
export function boxOf({ bath, limits }: Pick<Config, 'bath' | 'limits'>): ConfiguredBox {
  const { litres, elementWatts, spareLitres, circulation } = bath;
  const setpointMaxC = Math.min(SETPOINT_MAX_C, limits.hardMaxC - SETPOINT_MARGIN_C);
  return { litres, elementWatts, spareLitres, circulation, setpointMaxC };
}

/** What may be otherwise than the controller knows it. */
export interface RigChange {
  readonly waterLitres?: number | undefined;
  readonly elementW?: number | undefined;
  readonly lidOn?: boolean | undefined;
  readonly fillC?: number | undefined;
  readonly roomC?: number | undefined;
  readonly filmId?: string | undefined;
  readonly linerId?: string | undefined;
  readonly altitudeM?: number | undefined;
}

/** Depth of the water in a usual box, mm: the opening follows from the litres (common practice, no source). */
export const USUAL_DEPTH_MM = 210;
/** An interval that holds 95 % is so many standard deviations wide. */
const WIDTH_95 = 2 * 1.96;
/** Heat of a litre of water, J/K (4.18 kJ/kg K at 0.99 kg/L, IAPWS-IF97 about 50 C). */
const LITRE_JK = 4140;
/** No figure is known better than this, standard deviation as a share (judgement). */
const LEAST_SPREAD = 0.01;

interface Figure {
  readonly value: number;
  readonly low: number;
  readonly high: number;
}

const spreadOf = ({ value, low, high }: Figure): number =>
  value > 0 ? Math.max(LEAST_SPREAD, (high - low) / WIDTH_95 / value) : 1;

/**
 * The rig to plan with. Where the controller has identified it, its power, heat and losses are those, each with the
 * spread of its 95 % interval; where it has not, the box is taken as configured. Losses are seen about the working
 * temperature, so a plan far from it leans on them too.
 */
export function rigOfView(view: RigView | null, box: ConfiguredBox): Rig {
  const common = {
    ...USUAL_RIG,
    waterLitres: box.litres,
    openingM2: box.litres / USUAL_DEPTH_MM,
    circulation: box.circulation,
    ...(box.setpointMaxC === undefined ? {} : { setpointMaxC: box.setpointMaxC }),
    ...(box.spareLitres === null
      ? {}
      : { lowestMm: USUAL_DEPTH_MM * Math.max(0, 1 - box.spareLitres / box.litres) }),
  };
  if (!view?.identified) return { ...common, elementW: box.elementWatts };
  const { elementW: _w, insulation: _i, insulationMm: _m, lidMm: _l, kind: _k, ...place } = common;
  const overK = Math.max(5, view.atC - view.roomC);
  const spread: Spread = {
    watts: spreadOf(view.watts),
    capacity: spreadOf(view.heatJK),
    loss: spreadOf(view.lossLidOnW),
  };
  return {
    ...place,
    kind: 'identified',
    roomC: view.roomC,
    spread,
    figures: {
      watts: view.watts.value,
      capacityJK: view.heatJK.value,
      lossLidOnWK: view.lossLidOnW.value / overK,
      lossLidOffWK: Math.max(view.lossLidOffW.value, view.lossLidOnW.value) / overK,
      openingM2: place.openingM2,
      roomC: view.roomC,
      evaporationLidOnKgH: null,
    },
  };
}

/** A rig with what somebody said is otherwise: more water warms slower, another element heats otherwise. */
export function changedRig(rig: Rig, change: RigChange): Rig {
  const { elementW, waterLitres } = change;
  const said = Object.fromEntries(
    Object.entries(change).filter(([key, value]) => value !== undefined && key !== 'elementW'),
  ) as Partial<Rig>;
  const opening = waterLitres === undefined ? {} : { openingM2: waterLitres / USUAL_DEPTH_MM };
  if (rig.kind === 'described') {
    return { ...rig, ...opening, ...said, ...(elementW === undefined ? {} : { elementW }) } as Rig;
  }
  const added = waterLitres === undefined ? 0 : LITRE_JK * (waterLitres - rig.waterLitres);
  const figures: IdentifiedRig['figures'] = {
    ...rig.figures,
    capacityJK: Math.max(LITRE_JK, rig.figures.capacityJK + added),
    ...(elementW === undefined ? {} : { watts: elementW }),
    ...(change.roomC === undefined ? {} : { roomC: change.roomC }),
  };
  // Brim and opening of a box that has run stay as they are: only the level differs.
  return { ...rig, ...said, figures } as Rig;
}

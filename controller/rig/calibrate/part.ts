import type { AnalogueProbe } from '../../../shared/wire/analogue.ts';
import type { RigConfig } from '../../../shared/wire/config.ts';
import { stepAt } from '../analogue/faults.ts';
import {
  CONTRADICTION_C,
  DATA_SHEET_LIMIT_C,
  DRIFT_LIMIT_C,
  FAR_OFF_C,
  QUANTUM_LIMIT_C,
  REPLACE_C,
  SHAPE_LIMIT_C,
} from './limits.ts';

/** What a calibration must know of the sensor it is of. Limits either way, degrees C. */
export interface SensorPart {
  /** Largest error while uncalibrated. */
  readonly limitC: number;
  /** Where that comes from, to follow a number. */
  readonly basis: string;
  /** Half of the smallest step. */
  readonly quantumC: number;
  readonly driftC: number;
  readonly shapeC: number;
  /** Off by more: flagged. */
  readonly farOffC: number;
  /** Off by more: not calibrated but mended. */
  readonly replaceC: number;
  /** Errors at two points further apart than this contradict each other. */
  readonly contradictionC: number;
}

export const DS18B20: SensorPart = {
  limitC: DATA_SHEET_LIMIT_C,
  basis: 'by its data sheet',
  quantumC: QUANTUM_LIMIT_C,
  driftC: DRIFT_LIMIT_C,
  shapeC: SHAPE_LIMIT_C,
  farOffC: FAR_OFF_C,
  replaceC: REPLACE_C,
  contradictionC: CONTRADICTION_C,
};

/**
 * Error of part and circuit together where the configuration states none, with resistors of 1 % (worked out in the
 * README of ../analogue; the amplifier's share is common practice, no source).
 */
const USUAL_ERROR_C: Readonly<Record<AnalogueProbe['kind'], number>> = {
  ntc: 2,
  pt100: 7,
  typeK: 5,
  typeT: 4,
};
/** Resistors and amplifier age and warm up too. Common practice, no source. */
const ANALOGUE_DRIFT_C = 0.3;
const ANALOGUE_SHAPE_C = 0.3;
/** The largest correction that is kept in a configuration. */
const MOST_CORRECTION_C = 5;
/** The points of a calibration lie between these; the coarsest step of them counts. */
const POINTS_C = [0, 60, 75] as const;

/** An analogue probe as a calibration sees it. */
export function analoguePart(probe: AnalogueProbe): SensorPart {
  const limitC = probe.errorC ?? USUAL_ERROR_C[probe.kind];
  const stepK = Math.max(...POINTS_C.map((celsius) => stepAt(probe, celsius) ?? 0));
  const atLeast = (usual: number) => Math.min(MOST_CORRECTION_C, Math.max(usual, limitC));
  return {
    limitC,
    basis: probe.errorC === null ? 'as such circuits are with resistors of 1 %' : 'as stated for its circuit',
    quantumC: stepK / 2,
    driftC: ANALOGUE_DRIFT_C,
    shapeC: ANALOGUE_SHAPE_C,
    farOffC: atLeast(FAR_OFF_C),
    replaceC: atLeast(REPLACE_C),
    contradictionC: atLeast(CONTRADICTION_C),
  };
}

/** The sensor behind a name: a ROM is a DS18B20's, a pin is looked up in the configuration. */
export function partOf({ analogue }: Pick<RigConfig, 'analogue'>, name: string): SensorPart {
  const probe = analogue.find((one) => one.name === name);
  return probe ? analoguePart(probe) : DS18B20;
}

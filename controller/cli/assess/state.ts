import type { ColdSpotRecord, CoreFlag } from '../../../shared/food/measured.ts';
import { type CoreWatch, judgeCore, NO_WATCH, standingSpot } from '../../../shared/hazard/core-watch.ts';
import { type GrowthState, startGrowth } from '../../../shared/hazard/growth.ts';
import type { LethalityState } from '../../../shared/hazard/lethality.ts';
import { type LimitState, startLimits } from '../../../shared/hazard/limits.ts';
import type { Track } from '../../../shared/hazard/track.ts';
import { startTender, type TenderState } from '../../../shared/tender/kinetics.ts';
import { type CoreState, startCore } from './core.ts';
import type { Setup } from './setup.ts';

/** From one row of a log to the next. */
export interface Stretch {
  readonly fromC: number;
  readonly toC: number;
  readonly seconds: number;
  /** Time of its end, s from the first row. */
  readonly atS: number;
  /** Nothing was measured in between. */
  readonly gap: boolean;
  /** The measured core at both ends, C; null where either was not read. */
  readonly core: { readonly fromC: number; readonly toC: number } | null;
  /** The measured core at its end, C: null where it was not read, undefined where the log has no such column. */
  readonly readC: number | null | undefined;
}

/** Everything a cook has been through up to a row; plain data, so that a log may be split at any row. */
export interface Walk {
  readonly core: CoreState;
  readonly middle: {
    readonly maxC: number;
    readonly lethality: readonly LethalityState[];
    readonly limits: LimitState;
    readonly growth: GrowthState;
    readonly tender: TenderState;
  };
  readonly track: Track;
  /** What the measured core has shown so far, as in a cook under way. */
  readonly watch: CoreWatch;
  /** When a reading last took back what had been earned before it, s; null where none did. */
  readonly takenBackAtS: number | null;
  /** Of the coldest and the hottest that the core may have been, the most, C. */
  readonly coldMaxC: number;
  readonly hotMaxC: number;
  readonly chilling: boolean;
  /** The coldest that food or water has been, C. */
  readonly coldestC: number;
  /** What was wrong with readings of the core: how often, and when first, s. */
  readonly coreFlags: Readonly<
    Partial<Record<CoreFlag, { readonly count: number; readonly firstS: number }>>
  >;
}

/** The food has just gone in. `readC`: the core as measured then, C (see Stretch). */
export function startWalk(setup: Setup, readC: number | null | undefined = undefined): Walk {
  const seen = { coldSpot: recordedSpot(setup), coldestC: setup.startC };
  const measured = readC === undefined ? null : judgeCore(setup.track, NO_WATCH, readC, seen);
  return {
    core: startCore(setup.model),
    middle: {
      maxC: setup.startC,
      lethality: setup.track.middle.lethality,
      limits: startLimits(),
      growth: startGrowth(),
      tender: startTender(),
    },
    track: setup.track,
    watch: { ...NO_WATCH, measured },
    takenBackAtS: null,
    coldMaxC: setup.startC,
    hotMaxC: setup.startC,
    chilling: false,
    coldestC: setup.startC,
    coreFlags: {},
  };
}

/** The record of the probe's place, as the flag gives it. */
export function recordedSpot({ coldSpot }: Setup): ColdSpotRecord | null {
  return coldSpot === undefined ? null : { by: '--cold-spot', how: coldSpot, atS: 0 };
}

/** The same as far as it still stands. */
export function spotOf(setup: Setup, { watch }: Walk): ColdSpotRecord | null {
  return standingSpot(watch, recordedSpot(setup));
}

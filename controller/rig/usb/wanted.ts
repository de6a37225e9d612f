import type { Config } from '../../../shared/wire/config.ts';
import { hardMaxCode } from '../calibrate/apply.ts';
import type { Wanted } from './view.ts';

/** The limits a board is to hold: those of the configuration, the highest temperature as its bath probe reads it. */
export function wantedFrom({ limits, rig }: Pick<Config, 'limits' | 'rig'>, bathRom: string): Wanted {
  const calibration = rig.calibrations.find((one) => one.rom === bathRom) ?? null;
  return {
    bathRom,
    maxCode: hardMaxCode(calibration, limits.hardMaxC),
    maxHeatS: rig.maxHeatS,
    silenceMs: rig.silenceMs,
    attended: rig.attended,
  };
}

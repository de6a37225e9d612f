import type { Config } from '../../../shared/wire/config.ts';
import type { Installation } from '../../../shared/wire/status.ts';
import { namedProbes } from '../usb/roles.ts';
import { applyCalibration } from './apply.ts';
import { judgeCalibration } from './judge.ts';
import { partOf } from './part.ts';

/** Where a correction is stated for people, degrees C: in the middle of the temperatures that food is held at. */
const STATED_AT_C = 65;

/** Each probe of a rig with what its calibration is worth now, for people. @param nowMs null while the clock is not set */
export function probeFacts({ rig }: Pick<Config, 'rig'>, nowMs: number | null): Installation['probes'] {
  return namedProbes(rig).flatMap(({ rom, role }) => {
    if (role === null) return [];
    const calibration = rig.calibrations.find((one) => one.rom === rom) ?? null;
    const judged = judgeCalibration(calibration, nowMs, partOf(rig, rom));
    return [
      {
        rom,
        role,
        calibratedAtMs: calibration === null ? null : Date.parse(calibration.calibratedAt),
        correctionK: calibration === null ? null : applyCalibration(calibration, STATED_AT_C) - STATED_AT_C,
        errorK: judged.probeErrorC,
        flags: [...judged.flags.map((flag) => ({ id: flag.id, text: flag.text })), ...analogueFlag(rig, rom)],
      },
    ];
  });
}

/** Said of each analogue probe: what it is for depends on the board that is plugged in. */
function analogueFlag({ analogue }: Config['rig'], name: string): { id: string; text: string }[] {
  if (!analogue.some((one) => one.name === name)) return [];
  const text = `${name} is an analogue probe: read only through a board without our firmware, and with such a board nothing is heated.`;
  return [{ id: 'analogue', text }];
}

/**
 * The configuration with the error to reckon with filled in: what the calibrations leave of the bath probe and of the
 * one in the food, whichever is more, or what a person stated where that is more still. Where the bath is simulated the
 * probes are exact and the stated error holds. The record of a cook gets this configuration, so that a replay reckons
 * with the same.
 * @param nowMs null while the clock is not set: then no calibration can be told from an old one
 */
export function withProbeError(
  config: Config,
  rigKind: Installation['rigKind'],
  nowMs: number | null,
): Config {
  if (rigKind !== 'usb') return config;
  const felt = probeFacts(config, nowMs).filter(({ role }) => role === 'bath' || role === 'core');
  const errors = felt.map(({ errorK }) => errorK);
  const probeErrorC = Math.max(config.bath.probeErrorC ?? 0, ...errors);
  return probeErrorC > 0 ? { ...config, bath: { ...config.bath, probeErrorC } } : config;
}

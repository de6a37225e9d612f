import { type Config, RELAY_TIMES_S, type RelayKind } from '../../shared/wire/config.ts';
import { recordedReach } from '../../shared/wire/reach-recorded.ts';
import { type Gains, gainsFor } from './control/gains.ts';
import type { Surroundings } from './estimate/bag.ts';

/** What the tick needs of the configuration: plain data, worked out once, kept in the state. */
export interface TickSettings {
  readonly litres: number;
  readonly elementWatts: number;
  readonly hardMaxC: number;
  /** What of the rig matters to the food. */
  readonly around: Surroundings;
  readonly probeSilenceMs: number;
  readonly relay: RelayKind;
  readonly minOnS: number;
  readonly minOffS: number;
  readonly windowS: number;
  readonly gains: Gains;
  readonly codeVersion: string;
  readonly configJson: string;
}

/** Settings of the tick from a checked configuration. `codeVersion` goes into the record of each cook. */
export function settingsFrom(config: Config, codeVersion: string): TickSettings {
  const { bath, control, limits } = config;
  return {
    litres: bath.litres,
    elementWatts: bath.elementWatts,
    hardMaxC: limits.hardMaxC,
    around: { circulation: bath.circulation, probeErrorC: bath.probeErrorC, profileId: config.profile },
    probeSilenceMs: limits.probeSilenceS * 1000,
    relay: control.relay,
    ...RELAY_TIMES_S[control.relay],
    gains: gainsFor({
      litres: bath.litres,
      elementWatts: bath.elementWatts,
      gainPerC: control.gainPerC,
      integralS: control.integralS,
      derivativeS: control.derivativeS,
    }),
    codeVersion,
    // Addresses of people do not belong into the record of a cook.
    configJson: JSON.stringify({ ...config, reach: recordedReach(config.reach) }),
  };
}

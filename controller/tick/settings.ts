import { type Config, RELAY_TIMES_S, type RelayKind } from '../../shared/wire/config.ts';
import { recordedReach } from '../../shared/wire/reach-recorded.ts';
import type { Installation } from '../../shared/wire/status.ts';
import { type Gains, gainsFor } from './control/gains.ts';
import type { Surroundings } from './estimate/bag.ts';

/** What the rig has that decides whether a cook may be left alone. */
export interface Equipment {
  readonly switches: 1 | 2;
  readonly secondProbe: boolean;
  readonly levelSwitch: boolean;
  readonly cutOutProvenOn: string | null;
  readonly alarmPathProvenOn: string | null;
}

/** A third of the fill stands over an element near the floor, less some (judgement). */
const SPARE_SHARE = 0.3;
const PRESENCE_MINUTES = 30;

/** Largest error of an uncalibrated DS18B20 from -10 to 85 degrees C. Source: its data sheet. */
const SENSOR_ERROR_C = 0.5;

/** What the tick needs of the configuration: plain data, worked out once, kept in the state. */
export interface TickSettings {
  readonly litres: number;
  readonly elementWatts: number;
  readonly hardMaxC: number;
  /** Water over the element when the bath is full, L. */
  readonly spareLitres: number;
  readonly equipment: Equipment;
  /** Somebody must give a sign this often, s; null = never asked. */
  readonly presenceS: number | null;
  /** What of the rig matters to the food. */
  readonly around: Surroundings;
  readonly probeSilenceMs: number;
  readonly relay: RelayKind;
  readonly minOnS: number;
  readonly minOffS: number;
  readonly windowS: number;
  readonly gains: Gains;
  /** The configuration leaves the gains to the identified rig. */
  readonly gainsFollow: boolean;
  readonly codeVersion: string;
  readonly configJson: string;
}

/**
 * Settings of the tick from a checked configuration. `codeVersion` goes into the record of each cook. Where the bath is
 * simulated nobody is asked for presence unless the configuration says so: nothing there can burn. What was decided
 * stands in `configJson`, so that a replay needs to know nothing but that.
 */
export function settingsFrom(
  config: Config,
  codeVersion: string,
  rigKind: Installation['rigKind'] = 'simulated',
): TickSettings {
  const { bath, control, limits, safety } = config;
  const { presenceMinutes, ...equipment } = safety;
  const usual = rigKind === 'usb' ? PRESENCE_MINUTES : null;
  const minutes = presenceMinutes ?? usual;
  return {
    litres: bath.litres,
    elementWatts: bath.elementWatts,
    hardMaxC: limits.hardMaxC,
    spareLitres: bath.spareLitres ?? SPARE_SHARE * bath.litres,
    equipment,
    presenceS: minutes === null ? null : minutes * 60,
    around: {
      circulation: bath.circulation,
      probeErrorC: bath.probeErrorC ?? SENSOR_ERROR_C,
      profileId: config.profile,
    },
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
    gainsFollow: control.gainPerC === null && control.integralS === null && control.derivativeS === null,
    codeVersion,
    // Addresses of people do not belong into the record of a cook.
    configJson: JSON.stringify({
      ...config,
      safety: { ...safety, presenceMinutes: minutes },
      reach: recordedReach(config.reach),
    }),
  };
}

import type { BagView } from '../../../shared/wire/status.ts';
import { whenText } from './clock.ts';
import { type TemperatureUnit, temperatureText } from './temperature.ts';

const EFFECT_WORDS = {
  lowered: 'It lowered the credit of heat.',
  raised: 'It raised the credit of heat while the water stays hotter.',
  none: 'It changed nothing in the credit of heat.',
} as const;

const UNTIL = 'until the coldest place is searched, said so, and read higher';

function lowerWords({ effect, holdsLower }: NonNullable<BagView['hand']>): string {
  if (!holdsLower) return '';
  return effect === 'none' ? ` An earlier reading holds it lower ${UNTIL}.` : ` It stays lowered ${UNTIL}.`;
}

/** What a probe had shown under the model, where it no longer shows it and the credit stays lowered; null elsewhere. */
export function probeHoldText({ probeHold }: BagView, unit: TemperatureUnit, nowMs: number): string | null {
  if (probeHold === null) return null;
  const shown = `${temperatureText(probeHold.celsius, unit)} at ${whenText(probeHold.atMs, nowMs)}`;
  return `The probe in the piece showed ${shown}, colder than the model’s coldest case. The credit of heat stays lowered by it ${UNTIL}.`;
}

/** From when the credit of heat counts, where a reading of the core took back what had been earned; null elsewhere. */
export function creditAnewText({ creditAnewAtMs }: BagView, nowMs: number): string | null {
  if (creditAnewAtMs === null) return null;
  return `The credit of heat counts from ${whenText(creditAnewAtMs, nowMs)} only: a reading showed the piece colder than the model allows, so what was credited before was taken back.`;
}

/** A core read by hand in the bath, and what it did; null where nobody read one. */
export function handText({ hand }: BagView, unit: TemperatureUnit, nowMs: number): string | null {
  if (hand === null) return null;
  const read = `${temperatureText(hand.celsius, unit)}, read by hand at ${whenText(hand.atMs, nowMs)} by ${hand.by}.`;
  return `${read} ${EFFECT_WORDS[hand.effect]}${lowerWords(hand)}`;
}

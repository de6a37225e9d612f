import type { BagView } from '../../../shared/wire/status.ts';
import { whenText } from './clock.ts';
import { type TemperatureUnit, temperatureText } from './temperature.ts';

const EFFECT_WORDS = {
  lowered: 'It lowered the credit of heat.',
  raised: 'It raised the credit of heat while the water stays hotter.',
  none: 'It changed nothing in the credit of heat.',
} as const;

/** A core read by hand in the bath, and what it did; null where nobody read one. */
export function handText({ hand }: BagView, unit: TemperatureUnit, nowMs: number): string | null {
  if (hand === null) return null;
  return `${temperatureText(hand.celsius, unit)}, read by hand at ${whenText(hand.atMs, nowMs)} by ${hand.by}. ${EFFECT_WORDS[hand.effect]}`;
}

import type { ChillView } from '../../../shared/wire/status.ts';
import { whenText } from './clock.ts';
import { type TemperatureUnit, temperatureText } from './temperature.ts';

export const METHOD_WORDS: Record<ChillView['method'], { text: string; hint: string }> = {
  'ice-water': {
    text: 'In ice water',
    hint: 'At least as much ice as food, stirred, the bag wholly under: the fastest way without a machine.',
  },
  'cold-water': {
    text: 'In cold water',
    hint: 'Changed often or running. Thick pieces may not make it in time.',
  },
  'blast-chiller': { text: 'In a blast chiller', hint: 'By its own instructions.' },
  fridge: {
    text: 'In the fridge as it is',
    hint: 'Too slow for all but thin pieces, and it warms what lies beside it.',
  },
  other: { text: 'In another way', hint: 'The record keeps only that.' },
};

export const OUTCOME_WORDS: Record<NonNullable<ChillView['outcome']>, string> = {
  fridge: 'Put into the fridge',
  frozen: 'Frozen',
  served: 'Served',
  discarded: 'Thrown away',
};

/** How a bag is being chilled, or what became of it. */
export function chillHeadline({ method, startedAtMs, endedAtMs, outcome }: ChillView, nowMs: number): string {
  if (endedAtMs !== null && outcome !== null)
    return `${OUTCOME_WORDS[outcome]} at ${whenText(endedAtMs, nowMs)}`;
  const how = method === 'other' ? 'Chilling' : `Chilling ${METHOD_WORDS[method].text.toLowerCase()}`;
  return `${how} since ${whenText(startedAtMs, nowMs)}`;
}

/** What must be read next, and by when; null where nothing is left. */
export function nextText({ next }: ChillView, unit: TemperatureUnit, nowMs: number): string | null {
  if (next === null) return null;
  const target = `the core at ${temperatureText(next.celsius, unit)} or colder`;
  if (next.dueAtMs > nowMs) return `Show ${target} by ${whenText(next.dueAtMs, nowMs)}`;
  return `Overdue: ${target} was to be shown by ${whenText(next.dueAtMs, nowMs)}`;
}

/** Until when it may be kept, or why nothing is said. */
export function storageText({ storage }: ChillView, nowMs: number): string {
  if (storage.untilMs === null) return storage.words;
  return `Keep until ${whenText(storage.untilMs, nowMs)} at the latest. ${storage.words}`;
}

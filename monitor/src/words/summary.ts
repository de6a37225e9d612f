import type { BagView } from '../../../shared/wire/status.ts';
import { ENDPOINT_WORDS, forecastWords, lowerFirst } from './forecast.ts';
import { safetyWords } from './safety.ts';
import type { TemperatureUnit } from './temperature.ts';

/** All bags in the bath at a glance. */
export interface Summary {
  readonly safety: string;
  /** The bag to look at first because a rule is broken for it; null where none is. */
  readonly brokenBagId: string | null;
  /** Of the bag whose middle comes first; null where nothing is forecast. */
  readonly ready: string | null;
}

/**
 * Is it safe so far, and when is it ready: of all bags in the bath together. Null where there is none.
 * @param steady whether the bath is at the setpoint that the forecast supposes
 */
export function summaryOf(
  bags: readonly BagView[],
  unit: TemperatureUnit,
  nowMs: number,
  steady: boolean,
): Summary | null {
  if (bags.length === 0) return null;
  const judged = bags.map((bag) => ({ bag, state: safetyWords(bag, unit, nowMs).state }));
  const broken = judged.filter(({ state }) => state === 'broken').map(({ bag }) => bag);
  return {
    safety: broken.length > 0 ? brokenText(broken) : keptText(judged.map(({ state }) => state)),
    brokenBagId: broken[0]?.bagId ?? null,
    // When food that broke a rule would be tender is not what comes first.
    ready: readyText(
      bags.filter((bag) => !broken.includes(bag)),
      nowMs,
      steady,
    ),
  };
}

function brokenText(broken: readonly BagView[]): string {
  return `A rule is broken: ${broken.map((bag) => bag.label).join(', ')}`;
}

function keptText(states: readonly string[]): string {
  const met = states.filter((state) => state === 'met').length;
  const standards =
    met === states.length
      ? met === 1
        ? 'the lethality standard is met'
        : 'every bag has met its lethality standard'
      : met === 0
        ? 'no lethality standard is met yet'
        : `of ${states.length} bags ${met} met the lethality standard`;
  return `No rule broken so far; ${standards}. Modelled.`;
}

function readyText(bags: readonly BagView[], nowMs: number, steady: boolean): string | null {
  const forecast = bags
    .flatMap(({ label, tender }) => (tender ? [{ label, tender }] : []))
    .sort((a, b) => order(a.tender.p50AtMs) - order(b.tender.p50AtMs));
  const first = forecast[0];
  if (!first) return null;
  const span = lowerFirst(forecastWords(first.tender, nowMs).span);
  const wanted = ENDPOINT_WORDS[first.tender.endpoint].text;
  const supposed = steady ? '' : ', if the bath comes back to its setpoint';
  return bags.length === 1
    ? `${wanted}: ${span}${supposed}.`
    : `${wanted} first: ${first.label}, ${span}${supposed}.`;
}

const order = (ms: number | null): number => ms ?? Number.POSITIVE_INFINITY;

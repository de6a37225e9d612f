import type { BagSpec } from '../../../shared/wire/command.ts';
import type { TenderView } from '../../../shared/wire/status.ts';
import { whenText } from './clock.ts';

type Endpoint = BagSpec['endpoint'];
type Answer = TenderView['forkTests'][number]['answer'];

/** What the cook wants of the dish, with what it means. */
export const ENDPOINT_WORDS: Record<Endpoint, { text: string; hint: string; adjective: string }> = {
  sliceable: { text: 'Sliceable', hint: 'holds together under a knife; soonest', adjective: 'sliceable' },
  'fork-tender': { text: 'Fork-tender', hint: 'a fork turns in it', adjective: 'fork-tender' },
  shreds: { text: 'Shreds', hint: 'falls apart; takes longest', adjective: 'ready to shred' },
};

export const FORK_WORDS: Record<Answer, { text: string; hint: string }> = {
  'not-yet': { text: 'Not yet', hint: 'the fork meets resistance' },
  nearly: { text: 'Nearly', hint: 'it gives, but not as wanted' },
  ready: { text: 'Ready', hint: 'as wanted' },
};

export interface ForecastWords {
  /** The span in one line: what a cook plans by. */
  readonly span: string;
  /** The middle, and that the span is 10 to 90 %. */
  readonly middle: string;
  /** Odds at this moment. */
  readonly odds: string;
  /** How wide the span is, as a ratio; null where it has no end. */
  readonly width: string | null;
}

/** A time that lies this near is now. */
const NOW_MS = 60_000;

/** When a piece will be ready, in words: the span first, for the middle alone promises too much. */
export function forecastWords(view: TenderView, nowMs: number): ForecastWords {
  const { adjective } = ENDPOINT_WORDS[view.endpoint];
  return {
    span: spanText(view, nowMs),
    middle: middleText(view, nowMs),
    odds: `Odds that it is ${adjective} now: ${oddsText(view.readyNow)}`,
    width: widthText(view.spanRatio),
  };
}

/** A probability for people: never nought, never certain. */
export function oddsText(probability: number): string {
  if (probability < 0.01) return 'under 1 %';
  if (probability > 0.99) return 'over 99 %';
  return `${Math.round(probability * 100)} %`;
}

/** The same inside a sentence. */
export function lowerFirst(text: string): string {
  return text.charAt(0).toLowerCase() + text.slice(1);
}

function spanText({ readyNow, p10AtMs, p90AtMs }: TenderView, nowMs: number): string {
  const passed = (ms: number | null) => ms !== null && ms <= nowMs + NOW_MS;
  if (readyNow >= 0.9 || passed(p90AtMs)) return 'Very likely ready now';
  const end = p90AtMs === null ? null : whenText(p90AtMs, nowMs);
  if (readyNow >= 0.1 || passed(p10AtMs)) {
    return end === null ? 'Perhaps ready now, perhaps not for days' : `Likely between now and ${end}`;
  }
  if (p10AtMs === null) return 'Not likely within three days';
  const begin = whenText(p10AtMs, nowMs);
  return end === null
    ? `Not likely before ${begin}, perhaps not for days`
    : `Likely between ${begin} and ${end}`;
}

function middleText({ readyNow, p50AtMs, p90AtMs }: TenderView, nowMs: number): string {
  if (readyNow >= 0.9) return 'Try it with a fork.';
  if (readyNow >= 0.5) {
    const end = p90AtMs === null ? '' : `; 90 % by ${whenText(p90AtMs, nowMs)}`;
    return `More likely ready than not${end}.`;
  }
  if (p50AtMs === null) return 'The middle lies beyond three days; the span is 10 to 90 %.';
  return `Most likely about ${whenText(p50AtMs, nowMs)}; the span is 10 to 90 %.`;
}

function widthText(ratio: number | null): string | null {
  if (ratio === null) return null;
  const judged =
    ratio > 0.6
      ? 'a rough forecast, which a fork test narrows'
      : ratio > 0.25
        ? 'a fair forecast'
        : 'a narrow forecast';
  return `The span is ${ratio.toFixed(2)} times the middle, counted from when it went in: ${judged}.`;
}

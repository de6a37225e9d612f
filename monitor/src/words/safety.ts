import { durationText } from '../../../shared/units/duration.ts';
import type { Lies } from '../../../shared/wire/command.ts';
import type { BagView, VerdictView } from '../../../shared/wire/status.ts';
import { whenText } from './clock.ts';
import { type LethalityState, lethalityState, lethalityWords } from './lethality.ts';
import type { TemperatureUnit } from './temperature.ts';

/** Whether it is safe so far, in the order in which it matters. Never says "safe": that is a person's to judge. */
export interface SafetyWords {
  readonly state: 'broken' | LethalityState | 'no-standard';
  readonly headline: string;
  readonly broken: readonly VerdictView[];
}

/** What the rules make of a bag so far. */
export function safetyWords(bag: BagView, unit: TemperatureUnit, nowMs: number): SafetyWords {
  const broken = bag.verdicts.filter((verdict) => verdict.status === 'broken');
  const primary = bag.lethality[0];
  if (broken.length > 0) {
    const headline = broken.length === 1 ? 'A rule is broken' : `${broken.length} rules are broken`;
    return { state: 'broken', headline, broken };
  }
  if (!primary) {
    return {
      state: 'no-standard',
      headline: 'No rule broken so far; no lethality standard speaks of it',
      broken,
    };
  }
  const { state, word } = lethalityWords(primary, unit, nowMs);
  // Out of the bath nothing more is earned.
  const said =
    isOpen(state) && bag.outAtMs !== null ? `was ${word.replace('met yet', 'met')}` : `${verb(state)}${word}`;
  return { state, headline: `No rule broken so far; its standard ${said}`, broken };
}

const isOpen = (state: LethalityState) => state === 'not-met' || state === 'equivalent';

function verb(state: LethalityState): string {
  if (isOpen(state)) return 'is ';
  return state === 'no-target' ? 'has a gap: ' : 'was ';
}

/** The way through the warm temperatures against its limit. */
export function comeUpWords({ comeUp }: BagView, nowMs: number): { text: string; share: number } {
  const { seconds, limitS, doneAtMs } = comeUp;
  const share = limitS > 0 ? Math.min(1, seconds / limitS) : 1;
  const used = durationText(seconds);
  const limit = durationText(limitS);
  if (seconds > limitS) return { text: `${used} used; the limit was ${limit}`, share };
  if (doneAtMs !== null)
    return { text: `over at ${whenText(doneAtMs, nowMs)} after ${used}; limit ${limit}`, share };
  return { text: `${used} of ${limit} used, ${durationText(limitS - seconds)} left`, share };
}

/** Growth of what survives cooking as spores, on the case where it grew most. */
export function growthWords({ growthLog10 }: BagView): string {
  if (growthLog10 < 0.05) return 'C. perfringens: none to speak of';
  return `C. perfringens: up to ${growthLog10.toFixed(1)} log10`;
}

/** A broken rule names the same text as rule and source where the rule has no short name. */
export function ruleText({ rule, source }: VerdictView): { rule: string; source: string | null } {
  return { rule, source: rule === source ? null : source };
}

/**
 * A verdict's words without times that count on the controller's own clock since it started: they mean nothing
 * to a cook, and the card has the time of day of all of them that it knows.
 */
export function verdictText({ words }: VerdictView): string {
  const length = '(?:\\d+ h \\d+ min|\\d+ min|\\d+ s)';
  return words
    .replace(new RegExp(`This was passed at ${length} and does not heal`), 'This does not heal')
    .replace(new RegExp(`, (?:done|reached) at ${length}`, 'g'), '');
}

/** The answer of a verdict in a word; a standard is met, a limit is kept. */
export function statusWord(verdict: VerdictView, bag: BagView): string {
  const standard = bag.lethality.find((one) => one.standard === verdict.rule);
  switch (verdict.status) {
    case 'broken':
      return 'Broken';
    case 'unknown':
      return 'Not judged';
    case 'not-yet':
      return standard && lethalityState(standard) === 'equivalent'
        ? 'Not yet as worded; an equivalent is met'
        : 'Not yet';
    case 'kept':
      return standard ? 'Met' : 'Kept so far';
  }
}

export const LIES_WORDS: Record<Lies, { text: string; consequence: string }> = {
  under: {
    text: 'Wholly under the water',
    consequence: 'From now on its heat is credited again. A holding time begins anew.',
  },
  'partly-out': {
    text: 'Partly out of the water',
    consequence:
      'While it is so, no heat is credited: a holding time that was running is lost, and the clocks of come-up and growth go on.',
  },
  afloat: {
    text: 'Afloat',
    consequence:
      'While it is so, no heat is credited: a holding time that was running is lost, and the clocks of come-up and growth go on.',
  },
};

const FLAG_WORDS: Readonly<Record<string, string>> = {
  'hotter-than-meat-can-be':
    'It reads hotter than the meat can be: it may touch the water or the bag. The model’s coldest case counts.',
  'colder-than-meat-can-be':
    'It reads colder than anything in this cook has been: the probe or its cable may be faulty.',
  'below-worst-case':
    'It reads below the coldest case of the model, so the credit follows it down. The piece may be thicker than said, or lie against another.',
};

/** What is doubtful about a probe in the piece; a flag not known here is shown as it came. */
export function flagText(flag: string): string {
  return FLAG_WORDS[flag] ?? `Doubtful: ${flag.replaceAll('-', ' ')}.`;
}

/** What a measured core is worth. */
export function creditText({ measured, probeHold }: BagView): string {
  if (measured === null) return '';
  if (probeHold !== null)
    return measured.celsius === null ? 'No reading from it now.' : 'It does not raise the credit.';
  if (measured.celsius === null) return 'No reading from it now: the model’s coldest case counts.';
  return measured.credited
    ? 'Heat is credited by it, less its error.'
    : 'It does not raise the credit: the model’s coldest case counts.';
}

import { durationText } from '../units/duration.ts';
import type { CoolingResult } from './cooling.ts';
import { COOLING_GROWTH_LIMIT_LOG10, type GrowthResult } from './growth.ts';
import { type LethalityState, lethalityResult } from './lethality.ts';
import { type Breach, holdLimitC, type LimitResult, type Phase } from './limits.ts';
import type { LimitProfile } from './profiles.ts';
import type { Standard } from './standards/types.ts';

/** `kept`: within the rule. `not-yet`: on the way. `broken`: exceeded, and stays so. `unknown`: the rule does not speak here. */
export type VerdictStatus = 'kept' | 'not-yet' | 'broken' | 'unknown';

/** A judgement in words, with the rule it rests on. Never shown as a bare tick. */
export interface Verdict {
  readonly status: VerdictStatus;
  readonly words: string;
  readonly rule: string;
  readonly source: string;
  /** What the rule's text asks for; null where nothing is broken. */
  readonly asks: string | null;
  /** Published doubts and conditions that a reader must know. */
  readonly cautions: readonly string[];
}

/** Closes every broken verdict: the program does not decide about people's food. */
export const DEFER =
  'The person in charge decides, under the local code; where in doubt, food is thrown away, not tasted.';

const log = (value: number) => value.toFixed(1);
const degrees = (celsius: number) => `${celsius.toFixed(1)} C`;

/**
 * What a lethality standard says of the core so far. A table is kept only as it words itself, by a holding time; the
 * integral beside it is an equivalent and says so. Only where a document gives D and z is the integral the rule.
 * `maxCoreC`: the hottest the core has been, for doubts that concern only low temperatures.
 */
export function lethalityVerdict(
  standard: Standard,
  state: LethalityState,
  atS: number,
  maxCoreC: number,
): Verdict {
  const result = lethalityResult(standard, state, atS);
  const { dwell, targetLog10 } = result;
  const cautions: string[] = [];
  const { doubt } = standard;
  if (doubt && state.log10 > 0 && maxCoreC < doubt.belowC) cautions.push(`${doubt.words} (${doubt.source})`);
  if (maxCoreC > standard.rangeC[1]) {
    cautions.push(
      `Above ${degrees(standard.rangeC[1])} the standard says nothing; no faster credit is given.`,
    );
  }
  if (standard.note) cautions.push(standard.note);
  const parts: string[] = [];
  if (dwell) {
    if (dwell.metAtS !== null)
      parts.push(`held as the table words it: ${dwell.metByRow}, done at ${durationText(dwell.metAtS)}`);
    else if (dwell.row)
      parts.push(`holding ${dwell.row}: ${durationText(dwell.heldS)} of ${durationText(dwell.needS)} so far`);
    else parts.push(`the core has not reached ${degrees(standard.rangeC[0])}, where the table begins`);
  }
  if (targetLog10 !== null) {
    const by = state.metAtS === null ? '' : `, reached at ${durationText(state.metAtS)}`;
    // Far beyond its target the number means nothing a cook could use.
    const sum = state.log10 > 2 * targetLog10 ? `more than ${2 * targetLog10}` : log(state.log10);
    parts.push(`equivalent to ${sum} of ${targetLog10} log by the integral${by}`);
  } else if (standard.kind === 'dz')
    parts.push(`${log(state.log10)} log by the integral; no target is published`);
  const met = (dwell ? dwell.metAtS : state.metAtS) !== null;
  if (!met && state.metAtS !== null)
    parts.push('the integral is an equivalent and not what the table words, so the standard is not met yet');
  return {
    status: met ? 'kept' : targetLog10 === null && !dwell ? 'unknown' : 'not-yet',
    words: `${standard.organism}: ${parts.join('; ')}.`,
    rule: standard.name,
    source: standard.source,
    asks: null,
    cautions,
  };
}

/** What each limit is for and what its text asks once it is broken; in our words. */
const ASKS: Readonly<Record<Breach['limit'], string>> = {
  'come-up':
    'The guideline sets this limit because S. aureus can form a toxin that later heat does not destroy; food beyond it is not to be served without an assessment that shows the toxin did not form.',
  'warm-band': 'The supplement does not accept longer times in this band; it asks for food to be discarded.',
  'hot-hold':
    'The code asks for hot food to be kept at or above the limit; below it food may be used only under a written time plan and is discarded four hours after it fell below (3-501.19).',
  cooling:
    'The code asks for food that missed a cooling step to be discarded: spores may have grown out, and some leave toxin.',
};

/** A broken limit in words. */
export function breachVerdict(breach: Breach): Verdict {
  return {
    status: 'broken',
    words: `${breach.words} This was passed at ${durationText(breach.atS)} and does not heal: later heat destroys neither toxins nor spores.`,
    rule: breach.source,
    source: breach.source,
    asks: `${ASKS[breach.limit]} ${DEFER}`,
    cautions: [],
  };
}

/** The limits of a profile in words: come-up, warm band, hot holding, cooling; broken ones first. */
export function limitVerdicts(
  profile: LimitProfile,
  result: LimitResult,
  phase: Phase,
  roast: boolean,
): Verdict[] {
  const broken = result.breaches.map(breachVerdict);
  const isBroken = (limit: Breach['limit']) => result.breaches.some((b) => b.limit === limit);
  const rest: Verdict[] = [];
  if (!isBroken('come-up')) rest.push(comeUpVerdict(profile, result));
  if (profile.warmBand && !isBroken('warm-band')) {
    const { lowC, highC, limitS, source } = profile.warmBand;
    const words = `${durationText(result.warmS)} of ${durationText(limitS)} in all spent between ${degrees(lowC)} and ${degrees(highC)}.`;
    rest.push({ status: 'kept', words, rule: 'Limited warm band', source, asks: null, cautions: [] });
  }
  if (phase !== 'cooking' && !isBroken('hot-hold')) rest.push(holdVerdict(profile, result, roast));
  if (result.cooling && !isBroken('cooling')) {
    const options = result.cooling.map(coolingVerdict);
    rest.push(...(profile.anyCooling ? options.map(oneOption) : options));
  }
  return [...broken, ...rest];
}

function comeUpVerdict(profile: LimitProfile, result: LimitResult): Verdict {
  const { lowC, highC, limitS, source } = profile.comeUp;
  const done = result.comeUpDoneAtS !== null;
  const words = done
    ? `The core took ${durationText(result.comeUpS)} in all between ${degrees(lowC)} and ${degrees(highC)}; the limit is ${durationText(limitS)}.`
    : `${durationText(result.comeUpS)} of ${durationText(limitS)} used between ${degrees(lowC)} and ${degrees(highC)}.`;
  return {
    status: done ? 'kept' : 'not-yet',
    words,
    rule: 'Come-up within 6 h',
    source,
    asks: null,
    cautions: [],
  };
}

function holdVerdict(profile: LimitProfile, result: LimitResult, roast: boolean): Verdict {
  const limitC = degrees(holdLimitC(profile, roast));
  const words = result.held
    ? `Held hot at or above ${limitC} since it was cooked.`
    : `The core has not been at ${limitC}, so it does not count as held hot; it is still cooking by the code's words.`;
  const status = result.held ? 'kept' : 'unknown';
  return { status, words, rule: 'Hot holding', source: profile.hotHold.source, asks: null, cautions: [] };
}

/** Where one option is enough, one that was not kept is no broken rule while another may be. */
function oneOption(verdict: Verdict): Verdict {
  if (verdict.status !== 'broken') return verdict;
  const words = `${verdict.words} This option is not kept; another option is enough.`;
  return { ...verdict, status: 'unknown', words, asks: null };
}

const OVERDUE =
  'Enter a reading that was taken in time, within the hour. Without one the rule counts as broken, and that does not heal.';

function coolingVerdict(result: CoolingResult): Verdict {
  const legs = result.legs.map((leg) => {
    const used =
      leg.elapsedS === null
        ? 'not begun'
        : leg.status === 'overdue'
          ? `over its ${durationText(leg.limitS)} without a reading that shows the core there`
          : `${durationText(leg.elapsedS)} of ${durationText(leg.limitS)}`;
    return `${degrees(leg.fromC)} to ${degrees(leg.toC)}: ${used}`;
  });
  const overdue = result.legs.some((leg) => leg.status === 'overdue');
  const status = result.status === 'met' ? 'kept' : result.status === 'broken' ? 'broken' : 'not-yet';
  return {
    status,
    words: `Cooling ${legs.join('; ')}.`,
    rule: result.rule,
    source: result.source,
    asks: status === 'broken' ? `${ASKS.cooling} ${DEFER}` : null,
    cautions: [
      ...(overdue ? [OVERDUE] : []),
      ...(result.condition ? [`Condition: ${result.condition}.`] : []),
    ],
  };
}

const GROWTH_CAUTION =
  'The unit of one model is not stated in its source, so the faster of two models is told. No credit is given for salt or cure at the core, nor for heat that kills cells again.';
const WARMING_CAUTION =
  'More than 1 log before cooling: no rule limits this but the come-up time, and the cook that follows must kill what grew. A thinner piece or a hotter start keeps it low.';

/** Growth of C. perfringens in words; its limit concerns cooling, so before that it is not yet judged. */
export function growthVerdict(result: GrowthResult): Verdict {
  const { warmingLog10, coolingLog10 } = result;
  const over = coolingLog10 > COOLING_GROWTH_LIMIT_LOG10;
  const each = result.models.map((m) => `${m.name}: ${log(m.log10)} log`).join('; ');
  const cooling =
    coolingLog10 > 0
      ? `${log(coolingLog10)} log while cooling (limit ${COOLING_GROWTH_LIMIT_LOG10} log)`
      : `cooling has not been judged yet (limit ${COOLING_GROWTH_LIMIT_LOG10} log)`;
  return {
    status: over ? 'broken' : coolingLog10 > 0 ? 'kept' : 'not-yet',
    words: `C. perfringens may have grown ${log(warmingLog10)} log before cooling; ${cooling}. By model, ${each}.`,
    rule: 'At most 1 log of C. perfringens while cooling',
    source: result.source,
    asks: over
      ? `The guideline asks for food beyond this to be held and assessed or discarded. ${DEFER}`
      : null,
    cautions: warmingLog10 > 1 ? [WARMING_CAUTION, GROWTH_CAUTION] : [GROWTH_CAUTION],
  };
}

import { durationText } from '../../../shared/units/duration.ts';
import type { LethalityView } from '../../../shared/wire/status.ts';
import { whenText } from './clock.ts';
import { localText, type TemperatureUnit } from './temperature.ts';

/** `equivalent`: the integral has reached the target, the words of the table have not. */
export type LethalityState = 'met' | 'equivalent' | 'not-met' | 'no-target';

export interface LethalityWords {
  readonly state: LethalityState;
  /** Met or not, and when; the short answer. */
  readonly word: string;
  /** As the standard words it: which row, how long held. Null where the standard has no table. */
  readonly dwell: string | null;
  /** The integral along the core, which no table asks for. */
  readonly equivalent: string;
  /** When it will be met, or why no time is forecast; null where it is met, or where nobody can say. */
  readonly due: string | null;
  /** How far along, 0 to 1, by whichever of the two decides; null where there is no target. */
  readonly share: number | null;
}

/** Beyond this the sum tells a cook nothing more, target or not. */
const MOST_LOG10 = 12;

/** Progress under one standard in words. `nowMs` is the controller's clock: another day gets its weekday. */
export function lethalityWords(view: LethalityView, unit: TemperatureUnit, nowMs: number): LethalityWords {
  const { metAtMs, equivalentMetAtMs } = view;
  const state = lethalityState(view);
  const word = {
    met: () => `met at ${whenText(metAtMs ?? 0, nowMs)}`,
    equivalent: () =>
      `not met yet as the standard words it; its equivalent was met at ${whenText(equivalentMetAtMs ?? 0, nowMs)}`,
    'not-met': () => 'not met yet',
    'no-target': () => 'no target is published',
  }[state]();
  const open = state === 'not-met' || state === 'equivalent';
  return {
    state,
    word,
    dwell: dwellText(view, unit),
    equivalent: equivalentText(view, nowMs),
    due: open ? dueText(view, nowMs) : null,
    share: shareOf(view),
  };
}

const HELD_WORDS = {
  probe: 'the probe in the piece showed it slower than the model',
  hand: 'a reading by hand showed the piece slower than the model',
} as const;

function dueText({ dueAtMs, dueHeldBy }: LethalityView, nowMs: number): string | null {
  const held = dueHeldBy === null ? null : HELD_WORDS[dueHeldBy];
  if (dueAtMs === null) {
    return held && `not forecast, because ${held}: by that it is not met within a day`;
  }
  const when = `about ${whenText(dueAtMs, nowMs)} if the bath keeps its setpoint`;
  return held ? `${when}; later than modelled, because ${held}` : when;
}

/** The standard by name, with its organism unless the name begins with it. */
export function standardName({ organism, standard }: LethalityView): string {
  return standard.startsWith(organism) ? standard : `${organism}, ${standard}`;
}

/** Whether a standard is met as it words itself, only by the integral, or not at all. */
export function lethalityState(view: LethalityView): LethalityState {
  if (view.metAtMs !== null) return 'met';
  if (view.targetLog10 === null && view.dwell === null) return 'no-target';
  return view.equivalentMetAtMs === null ? 'not-met' : 'equivalent';
}

function dwellText({ dwell }: LethalityView, unit: TemperatureUnit): string | null {
  if (dwell === null) return null;
  if (dwell.metByRow !== null) return `held in full: ${localText(dwell.metByRow, unit)}`;
  if (dwell.row === null) return 'the core has not reached the first row of its table';
  const held = `${durationText(dwell.heldS)} of ${durationText(dwell.needS)}`;
  return `held ${held} so far; the row asks ${localText(dwell.row, unit)}`;
}

function equivalentText(view: LethalityView, nowMs: number): string {
  const { log10, targetLog10, equivalentMetAtMs } = view;
  if (targetLog10 === null) {
    return log10 > MOST_LOG10 ? `more than ${MOST_LOG10} log10` : `${log10.toFixed(1)} log10`;
  }
  const reached = equivalentMetAtMs === null ? '' : `, reached at ${whenText(equivalentMetAtMs, nowMs)}`;
  if (log10 > 2 * targetLog10) return `far over ${targetLog10} log10${reached}`;
  if (log10 >= targetLog10) return `${log10.toFixed(1)} log10 where ${targetLog10} is asked${reached}`;
  // Rounded down, so that a target not reached never reads as reached.
  return `${(Math.floor(log10 * 10) / 10).toFixed(1)} of ${targetLog10} log10${reached}`;
}

function shareOf(view: LethalityView): number | null {
  if (view.metAtMs !== null) return 1;
  const { dwell, targetLog10, log10 } = view;
  if (dwell) return dwell.needS > 0 ? Math.min(1, dwell.heldS / dwell.needS) : 0;
  return targetLog10 === null ? null : Math.min(1, log10 / targetLog10);
}

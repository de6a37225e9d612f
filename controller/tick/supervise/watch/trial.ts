import { BEAT_S } from '../../control/identify/rig.ts';
import type { BalanceNow } from './balance.ts';
import { followingsOf } from './line.ts';

/**
 * A trial, where the level of the balance tells that something is wrong and not what: the heat is switched the other
 * way for some seconds, or only the guard is closed, and the reading is asked whether it followed. A dead element does
 * not answer; a welded switch answers the guard alone. Plain data; times by the tick's clock.
 */
export interface Trial {
  /** What is tried now; null = nothing. */
  readonly running: TrialKind | null;
  /** What was tried last, from when to when. */
  readonly last: TrialKind | null;
  readonly fromS: number;
  readonly untilS: number;
  /** How much heat it tries, degC. */
  readonly triedC: number;
  /** When the guard was last tried, whether or not an answer could be read. */
  readonly triedGuardS: number;
  /** The answer is still awaited. */
  readonly open: boolean;
  /** What the last answers said, and when: share of the heat that arrived, with its standard error. */
  readonly heat: Answer | null;
  readonly guard: Answer | null;
}

export type TrialKind = 'on' | 'off' | 'guard';

/** What the trials of one kind have said. */
export interface Answer {
  /** Share of the tried heat that arrived in the reading at the last trial: one = all of it. */
  readonly share: number;
  readonly atS: number;
  /** How much heat was tried then, degC. */
  readonly triedC: number;
  /** Trials in a row that told of a fault. */
  readonly bad: number;
  /** Heat given in all of those, degC: it may be in the water unseen. */
  readonly badC: number;
}

export const NO_TRIAL: Trial = {
  running: null,
  last: null,
  fromS: 0,
  untilS: 0,
  triedC: 0,
  triedGuardS: 0,
  open: false,
  heat: null,
  guard: null,
};

/** So much better than "nothing happened" a story must be before it is worth a trial (log-likelihood). */
export const SUSPECT = 10;
/** A trial moves the water by so much, degC, and at least by so many standard deviations of a beat's mean. */
const MOVE_C = 0.3;
const MOVE_SD = 8;
/** ... but by no more than this, however noisy the probe: nobody sees where the water is meanwhile. */
const MOST_MOVE_C = 1;
const LONGEST_S = 120;
/** A pause harms nobody and may be so much longer than a burst. */
const PAUSE_FACTOR = 2.5;
/** The guard alone heats only where a switch is welded. */
const GUARD_FACTOR = 1.5;
/** Between an answer and the next trial, s: soon where the last told of a fault, longer where all was well. */
const SOON_S = 30;
const REST_S = 240;
const GUARD_REST_S = 1200;
/** The regulating switch is tried as a matter of course this often, s: behind a guard its weld would not show. */
const GUARD_ROUTINE_S = 3600;
/** The guard may be tried with the water so far over what a burst may take it to, degC: it heats only behind a weld. */
const GUARD_ROOM_C = 0.9;
/** Where heat does not arrive it is tried again after this, and each time after twice as long, s. */
const RETRY_S = 240;
/** More than this share of full heat is answered by a pause, less by a burst. */
const MUCH_HEAT = 0.5;
/** The window of an answer begins so long before the trial, s. */
const BEFORE_S = 120;
/** ... or so long, where the fault is younger than that, s. */
const YOUNG_BEFORE_S = 20;
/** ... and ends so long after the last of the tried heat has arrived, s. */
const AFTER_S = 80;

/** Less than this share arrives where the heat is dead, more comes through the guard where a switch is welded. */
const DEAD_SHARE = 0.35;
const WELD_SHARE = 0.45;
const BACK_SHARE = 0.6;
/**
 * A fault must stand out by so many standard errors of the share; that all is well needs an error below this. Anything
 * less sure, or with a worse fit, says nothing.
 */
const SURE_SD = 5;
const CALM_ERROR = 0.25;
const FIT_SD = 2.2;
/** A bend that explains the level within so many standard deviations is as likely as a fault. */
const BEND_SD = 3;
/** Quantities fitted to a window: level, slope, bend and its moment, share. */
const FITTED = 5;
/** What a fit leaves is noise, but never less than this share of what readings and level are known to have. */
const LEAST_SD = 0.6;
/** So many trials in a row must tell of a fault before it is believed. */
const TRIALS = 2;
/** ... but one that nearly nothing answered counts for two, where the level says the same by far. */
const NOTHING_SHARE = 0.2;
/** ... no further apart than this, s: else they are two loads and no fault. */
const APART_S = 600;

/** Whether the heat does not arrive, whatever is switched. */
export const heatIsMissing = ({ heat }: Trial): boolean => heat !== null && heat.bad >= TRIALS;

/** Whether heat comes while only the guard is closed. */
export const isWelded = ({ guard }: Trial): boolean => guard !== null && guard.bad >= TRIALS;

/** What there is to be suspicious of. */
export interface Suspicion {
  readonly noHeat: number;
  readonly weld: number;
  readonly hasGuard: boolean;
  readonly now: BalanceNow | null;
  /** Degrees up to which the water may still be warmed for a trial; below nought = not at all. */
  readonly roomC: number;
}

/** Begins, ends or keeps up a trial. */
export function stepTrial(trial: Trial, suspicion: Suspicion, clockS: number): Trial {
  const { now, roomC } = suspicion;
  if (trial.running !== null) {
    // The burst itself may fill the room that there was for it.
    const over = clockS >= trial.untilS || (trial.running === 'on' && roomC < -trial.triedC);
    return over ? { ...trial, running: null, untilS: clockS } : trial;
  }
  if (!now || trial.open) return trial;
  const kind = wanted(trial, suspicion, now, clockS);
  if (kind === null || (kind === 'on' && roomC < 0) || (kind === 'guard' && roomC < -GUARD_ROOM_C))
    return trial;
  const much = kind === 'off' ? PAUSE_FACTOR : kind === 'guard' ? GUARD_FACTOR : 1;
  const moveC = Math.min(MOST_MOVE_C, Math.max(MOVE_C, MOVE_SD * now.meanSdC));
  const forS = Math.min(LONGEST_S, (much * moveC) / now.fullCPerS);
  const triedC = forS * now.fullCPerS;
  const begun = { running: kind, last: kind, fromS: clockS, untilS: clockS + forS, triedC, open: true };
  return { ...trial, ...begun, triedGuardS: kind === 'guard' ? clockS : trial.triedGuardS };
}

/** How long after the last trial of the guard the next is due, s. */
function guardRestS(weld: number, guard: Answer | null): number {
  if (guard !== null && guard.bad > 0) return SOON_S;
  return weld > SUSPECT ? GUARD_REST_S : GUARD_ROUTINE_S;
}

function wanted(
  trial: Trial,
  { noHeat, weld, hasGuard, roomC }: Suspicion,
  now: BalanceNow,
  clockS: number,
): TrialKind | null {
  const { heat, guard } = trial;
  // A welded switch that was proven is not tried again.
  if (isWelded(trial)) return null;
  if (heatIsMissing(trial)) return clockS - heat!.atS > RETRY_S * 2 ** (heat!.bad - TRIALS) ? 'on' : null;
  const much = now.arriving > MUCH_HEAT;
  const heatDue = heat === null || clockS - heat.atS > (heat.bad > 0 ? SOON_S : REST_S);
  // Heat first: where much of it is asked for and none comes, the level rests while the guard is tried, as if it rose.
  if (noHeat >= SUSPECT && heatDue && (much || roomC >= 0)) return much ? 'off' : 'on';
  if (!hasGuard || (noHeat >= SUSPECT && much)) return null;
  const sinceGuardS = clockS - Math.max(trial.triedGuardS, guard?.atS ?? 0);
  return sinceGuardS > guardRestS(weld, guard) ? 'guard' : null;
}

/** What the answer is read from: the level of the balance, and the heat that was tried, both beat by beat, degC. */
export interface Traces {
  readonly levels: readonly number[];
  readonly heats: readonly number[];
  readonly standby: readonly number[];
  readonly sdC: number;
  /** The level still looks as if no heat arrived: else it was a load that the trial fell into. */
  readonly suspect: boolean;
  /** ... and by far: no loss, which goes on whether heat is switched or not, explains it as well. */
  readonly clear: boolean;
}

/** Once heat was missing, a good part of it must come before all counts as well: one noisy answer mends nothing. */
function isDead(trial: Trial, share: number, suspect: boolean): boolean {
  return heatIsMissing(trial) ? share < BACK_SHARE : suspect && share < DEAD_SHARE;
}

/**
 * What one window of the level says: the share that arrived, whether that tells of a fault; null = nothing for sure. A
 * lid that came off or back within the window bends the level, and a bend passes for an answer, or for none: a fault is
 * told only where no single bend, wherever it lay, explains the level without one nearly as well.
 */
function readWindow(trial: Trial, traces: Traces, beats: number): { share: number; told: boolean } | null {
  const to = traces.levels.length;
  const guard = trial.last === 'guard';
  const fits = followingsOf(traces.levels, guard ? traces.standby : traces.heats, to - beats, to);
  const least = Math.min(...fits.map((fit) => fit.left));
  const rms = Math.sqrt(least / (beats - FITTED));
  if (rms > FIT_SD * traces.sdC) return null;
  const sdC = Math.max(LEAST_SD * traces.sdC, rms);
  const likely = fits.filter((fit) => fit.left - least < (BEND_SD * sdC) ** 2);
  const { follows, error } = likely.reduce((best, fit) => (fit.error < best.error ? fit : best));
  // The level follows heat that was reckoned with only where it did not arrive, and the guard's where it did.
  const share = guard ? follows : 1 + follows;
  if (!(guard ? share > WELD_SHARE : isDead(trial, share, traces.suspect)))
    return error * sdC < CALM_ERROR ? { share, told: false } : null;
  const explained = Math.min(...fits.map((fit) => fit.unfollowed)) - least;
  const sure = Math.abs(follows) > SURE_SD * error * sdC && explained > (BEND_SD * sdC) ** 2;
  return sure ? { share, told: true } : null;
}

/** Reads the answer once all of it must have arrived: a delay and a half after the trial, and some beats more. */
export function readAnswer(trial: Trial, traces: Traces, delayS: number, clockS: number): Trial {
  if (!trial.open || trial.running !== null || clockS < trial.untilS + 1.6 * delayS + AFTER_S) return trial;
  const beatsSince = (beforeS: number) => Math.ceil((clockS - trial.fromS + beforeS) / BEAT_S);
  const beats = beatsSince(BEFORE_S);
  // The balance began anew meanwhile: no answer can be read, and another trial may follow at once.
  if (beats > traces.levels.length) return { ...trial, open: false };
  const guard = trial.last === 'guard';
  let read = readWindow(trial, traces, beats);
  // A fault that is younger than the window bends the level within it: a shorter one may do.
  if (!read?.told && traces.suspect && !guard) {
    const young = readWindow(trial, traces, beatsSince(YOUNG_BEFORE_S));
    if (young?.told) read = young;
  }
  if (read === null) return { ...trial, open: false };
  const { share, told } = read;
  // A level that falls for want of heat is no level from which a switch could be judged.
  if (guard && told && traces.suspect) return { ...trial, open: false };
  return withAnswer(trial, traces, share, told, clockS);
}

function withAnswer(trial: Trial, traces: Traces, share: number, told: boolean, clockS: number): Trial {
  const guard = trial.last === 'guard';
  const last = guard ? trial.guard : trial.heat;
  const goesOn = last !== null && (last.bad >= TRIALS || clockS - last.atS < APART_S);
  const before = goesOn ? last : null;
  const { triedC } = trial;
  const counts = !guard && traces.clear && share < NOTHING_SHARE ? TRIALS : 1;
  const answer = {
    share,
    atS: clockS,
    triedC,
    bad: told ? Math.max(counts, (before?.bad ?? 0) + 1) : 0,
    badC: told ? (before?.badC ?? 0) + (trial.last === 'off' ? 0 : triedC) : 0,
  };
  return guard ? { ...trial, open: false, guard: answer } : { ...trial, open: false, heat: answer };
}

/** A stretch between two restarts says something where it is so long, beats, and so much heat came in it, degC. */
const STRETCH_BEATS = 12;
const STRETCH_C = 0.3;

/**
 * The trial after a restart that cut the balance short. The stretch since the last one is read as a trial by itself:
 * where the controller crashes every few minutes no other comes to its end.
 */
export function cutShort(trial: Trial, traces: Traces | null, clockS: number): Trial {
  const stopped: Trial = { ...NO_TRIAL, triedGuardS: trial.triedGuardS, heat: trial.heat };
  if (traces === null) return stopped;
  const { heats } = traces;
  const triedC = (heats.at(-1) ?? 0) - (heats[0] ?? 0);
  if (heats.length < STRETCH_BEATS || triedC < STRETCH_C) return stopped;
  // Heat of a cook and no burst of a trial: it counts as little for what may be in the water unseen as a pause.
  const asked: Trial = { ...stopped, last: 'off', triedC };
  const read = readWindow(asked, traces, heats.length);
  return read === null
    ? stopped
    : { ...withAnswer(asked, traces, read.share, read.told, clockS), last: null };
}

import type { LostLog, TickInput } from '../shared/wire/tick.ts';
import type { Clock } from './clock.ts';
import type { Journal } from './journal/journal.ts';
import type { Resume } from './journal/reader.ts';
import type { Break } from './journal/verify.ts';
import type { Resumed } from './resume.ts';

/** The wall clock; how long by the machine's uptime, null where that is not known; the console. */
export interface Means {
  readonly clock: Clock;
  readonly mark: { awayMs(lastSequence: number): number | null };
  readonly log: (line: string) => void;
}

/** What a restart goes on from. */
export interface GoneOnFrom {
  readonly found: Resume;
  readonly resumed: Resumed;
  /** Places where rows that are gone on from are not what was recorded. */
  readonly changed: readonly Break[];
}

/** Places of a damaged log that are said on the console one by one. */
const SAID = 20;

/**
 * What the first tick on a log that goes on is told: how long nobody watched, and what the log has lost or cannot vouch for.
 * Says on the console which rows were changed. Null on a new log.
 */
export function restartAfter(
  { found, resumed, changed }: GoneOnFrom,
  report: Journal['report'],
  { clock, mark, log }: Means,
): TickInput['restart'] {
  for (const { sequence, row, why } of changed.slice(0, SAID))
    log(`The record of tick ${sequence} is not sound: ${row}: ${why}.`);
  if (found.lastSequence === 0 && report.setAside === null) return null;
  const awayMs = mark.awayMs(found.lastSequence) ?? timeAway(found, resumed, clock);
  const told = logTold(found, resumed, report, changed);
  if (told === null) return { awayMs };
  const { unvouched } = resumed;
  return { awayMs, log: unvouched ? { ...told, unsoundAfter: unvouched.after } : told };
}

/** What people are told of the log: the worst that was found. Null where all is in order. */
function logTold(
  found: Resume,
  resumed: Resumed,
  { setAside, doubt, note }: Journal['report'],
  changed: readonly Break[],
): LostLog | null {
  if (setAside !== null) {
    const { why, path, fromMs, toMs, fromSequence, throughSequence } = setAside;
    // A log whose good part is gone on with still holds ticks from before.
    const goesOn = found.lastWallMs !== null;
    const rows = throughSequence === null ? null : throughSequence - fromSequence + 1;
    return { why, keptAs: path, fromMs, toMs, rows, goesOn };
  }
  const [first] = changed;
  if (resumed.unvouched || first) return altered(found, resumed, first, note);
  if (doubt === null) return null;
  const nothing = { keptAs: 'part of the log', fromMs: null, toMs: null, rows: null, goesOn: true };
  return { ...nothing, why: note ?? doubt, what: 'unproved' };
}

/** Rows that are there and are not what was recorded: nothing is set aside, for the rest of the log is sound. */
function altered(
  { lastSequence, lastWallMs }: Resume,
  { unvouched }: Resumed,
  first: Break | undefined,
  note: string | null,
): LostLog {
  const why = first ? `tick ${first.sequence}, ${first.row}: ${first.why}` : (note ?? '');
  const about = { why, keptAs: 'part of the log', goesOn: true, what: 'altered' } as const;
  const sound = unvouched?.sound ?? null;
  return {
    ...about,
    fromMs: sound && sound.sequence > 0 ? sound.wallMs : null,
    toMs: lastWallMs,
    rows: unvouched ? lastSequence - unvouched.after : 0,
  };
}

/** How long nobody watched, by the wall clock; null where that clock went back, is not set, or was not when the log ends. */
function timeAway(found: Resume, { state, unvouched }: Resumed, clock: Clock): number | null {
  // A row that is not vouched for tells no time: then it counts from the last one that is.
  const last = unvouched ? unvouched.sound : state;
  const lastMs = unvouched ? (unvouched.sound?.wallMs ?? null) : found.lastWallMs;
  const before = last !== null && last.sequence > 0 && last.wallTrusted;
  if (lastMs === null || !before || !clock.wallTrusted()) return null;
  const away = clock.wallMs() - lastMs;
  return away >= 0 ? away : null;
}

/** Says on the console what was found wrong with the log. */
export function tellOpening(journal: Journal, log: (line: string) => void): void {
  const { note } = journal.report;
  if (note !== null) log(note);
  journal.onFailure((error) => log(`The log cannot be written: ${error.message}`));
}

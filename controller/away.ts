import type { LostLog, TickInput } from '../shared/wire/tick.ts';
import type { Clock } from './clock.ts';
import type { Journal } from './journal/journal.ts';
import type { JournalReader, Resume } from './journal/reader.ts';
import { type Break, verifyTail } from './journal/verify.ts';
import type { TickState } from './tick/state.ts';

/** The wall clock; how long by the machine's uptime, null where that is not known; the console. */
export interface Means {
  readonly clock: Clock;
  readonly mark: { awayMs(lastSequence: number): number | null };
  readonly log: (line: string) => void;
}

/**
 * What the first tick on a log that goes on is told. Holds the rows that a restart goes on from against the chain, and says
 * on the console what was changed since.
 */
export async function restartAfter(
  reader: JournalReader,
  found: Resume,
  resumed: TickState,
  report: Journal['report'],
  { clock, mark, log }: Means,
): Promise<TickInput['restart']> {
  const changed = await verifyTail(reader, found.snapshot?.sequence ?? 0);
  for (const { sequence, row, why } of changed)
    log(`The record of tick ${sequence} is not sound: ${row}: ${why}.`);
  return restartOf(found, resumed, report, clock, mark.awayMs(found.lastSequence), changed);
}

/**
 * What the first tick on a log that goes on is told: how long nobody watched, and what the log has lost. Null on a new log.
 * @param changed places where rows that are gone on from are not what was recorded
 * @param upAwayMs how long by the machine's uptime, which needs no clock that was set; null where that is not known
 */
function restartOf(
  found: Resume,
  resumed: TickState,
  report: Journal['report'],
  clock: Clock,
  upAwayMs: number | null = null,
  changed: readonly Break[] = [],
): TickInput['restart'] {
  const { setAside } = report;
  if (found.lastSequence === 0 && setAside === null) return null;
  const awayMs = upAwayMs ?? timeAway(found, resumed, clock);
  const [first] = changed;
  if (setAside === null) return first ? { awayMs, log: altered(first, changed.length) } : { awayMs };
  const { why, path, fromMs, toMs, fromSequence, throughSequence } = setAside;
  // A log whose good part is gone on with still holds ticks from before.
  const goesOn = found.lastWallMs !== null;
  const rows = throughSequence === null ? null : throughSequence - fromSequence + 1;
  return { awayMs, log: { why, keptAs: path, fromMs, toMs, rows, goesOn } };
}

/** Rows that are there and are not what was recorded: nothing is set aside, for the rest of the log is sound. */
function altered({ sequence, row, why }: Break, rows: number): LostLog {
  const words = `tick ${sequence}, ${row}: ${why}`;
  return { why: words, keptAs: 'part of the log', fromMs: null, toMs: null, rows, goesOn: true };
}

/** How long nobody watched, by the wall clock; null where that clock went back, is not set, or was not when the log ends. */
function timeAway(found: Resume, resumed: TickState, clock: Clock): number | null {
  const before = resumed.sequence > 0 && resumed.wallTrusted;
  if (found.lastWallMs === null || !before || !clock.wallTrusted()) return null;
  const away = clock.wallMs() - found.lastWallMs;
  return away >= 0 ? away : null;
}

/** Says on the console what was found wrong with the log. */
export function tellOpening(journal: Journal, log: (line: string) => void): void {
  const { note } = journal.report;
  if (note !== null) log(note);
  journal.onFailure((error) => log(`The log cannot be written: ${error.message}`));
}

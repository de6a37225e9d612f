import { BathkeeperError } from '../../shared/wire/errors.ts';
import { unpackText } from './codec.ts';
import type { Database } from './driver.ts';
import type { ReplayPlan } from './reader.ts';

interface Row {
  readonly sequence: number;
  readonly state: Uint8Array;
  readonly code_version: string;
}

/** What stands in the place of a text that cannot be read: it is never the same as one that was recorded. */
const UNREADABLE = '(it cannot be read)';

/** A packed text; what stands in its place where it cannot be unpacked. */
export function textOr(packed: Uint8Array): string {
  try {
    return unpackText(packed);
  } catch {
    return UNREADABLE;
  }
}

/**
 * The last whole state kept before a tick, for a replay to begin with; null where none was kept.
 * @throws BathkeeperError `journal-unreadable` where it cannot be read, with those that can
 */
export function stateBefore(db: Database, before: number, through: number): ReplayPlan['snapshot'] {
  const sql =
    'SELECT sequence, state, code_version FROM snapshot WHERE sequence < ? ORDER BY sequence DESC LIMIT 1';
  const row = db.prepare(sql).get(before) as Row | undefined;
  if (!row) return null;
  const fault = faultOf(row.state);
  if (fault === null)
    return { sequence: row.sequence, stateJson: unpackText(row.state), codeVersion: row.code_version };
  const what = `the whole state kept after tick ${row.sequence} cannot be read (${fault}); expected a packed JSON object`;
  throw new BathkeeperError('journal-unreadable', `(${what}. ${othersWords(db, row.sequence, through)})`);
}

/** What to say where a replay comes to an input that cannot be read. */
export function unreadableInput(
  db: Database,
  sequence: number,
  through: number,
  why: string,
): BathkeeperError {
  const what = `the input of tick ${sequence} cannot be read (${why}): what came after it cannot be run through from before it`;
  return new BathkeeperError('journal-unreadable', `(${what}. ${othersWords(db, sequence, through, true)})`);
}

/** Which states a replay can begin with instead. */
function othersWords(db: Database, sequence: number, through: number, onlyLater = false): string {
  const from = onlyLater ? sequence : 0;
  const rows = db
    .prepare('SELECT sequence, state FROM snapshot WHERE sequence >= ? AND sequence < ? ORDER BY sequence')
    .iterate(from, through) as Iterable<Pick<Row, 'sequence' | 'state'>>;
  const others: number[] = [];
  for (const one of rows) if (faultOf(one.state) === null) others.push(one.sequence);
  // The nearest on either side: an early one runs through more, a late one through less.
  const near = [
    ...others.filter((at) => at < sequence).slice(-2),
    ...others.filter((at) => at >= sequence).slice(0, 2),
  ];
  const verify = 'What else is damaged: bathkeeper verify';
  if (near.length === 0) return `No other one can be read: restore a backup of the log. ${verify}`;
  return `Begin with another one: ${near.map((at) => `--from ${at + 1}`).join(' or ')}. ${verify}`;
}

/** Why a kept state cannot be gone on with; null where it can be read. */
function faultOf(packed: Uint8Array): string | null {
  try {
    const state: unknown = JSON.parse(unpackText(packed));
    const isObject = typeof state === 'object' && state !== null && !Array.isArray(state);
    return isObject ? null : 'it is no object';
  } catch (error) {
    return (error as Error).message.split('\n', 1)[0] ?? '';
  }
}

import type { Command, CommandResult } from '../../shared/wire/command.ts';

/** A command that was decided, by its id, so that it counts once however often it is sent. */
export interface Decided {
  /** Of the whole command: the same id with other words is another command. */
  readonly print: number;
  readonly result: CommandResult;
}

/** So many are remembered: hours of a busy kitchen, while a page repeats itself within seconds. */
const MOST_DECIDED = 96;

/**
 * 32 bit FNV-1a (Fowler, Noll, Vo; constants as in IETF draft-eastlake-fnv) over the UTF-16 units of the command's JSON.
 * Who gave it is left out: a phone that was paired anew meanwhile repeats the same command under another name.
 */
export function printOf(command: Command): number {
  const text = JSON.stringify({ ...command, by: '' });
  let hash = 0x811c9dc5;
  for (let i = 0; i < text.length; i++) hash = Math.imul(hash ^ text.charCodeAt(i), 0x01000193);
  return hash >>> 0;
}

/**
 * What became of a command of that id before; null where none of that id is remembered. Stopping the heat is never taken
 * for a repetition: doing it twice harms nobody, leaving it out might.
 */
export function decidedBefore(decided: readonly Decided[], command: Command): CommandResult | null {
  if (command.kind === 'stop-heat') return null;
  const found = decided.find((one) => one.result.id === command.id);
  if (!found) return null;
  if (found.print === printOf(command)) return found.result;
  return { id: command.id, accepted: false, code: 'command-id-used', detail: null };
}

/** Remembers what became of a command; the oldest is forgotten. */
export function remember(
  decided: readonly Decided[],
  command: Command,
  result: CommandResult,
): readonly Decided[] {
  return [...decided.slice(-(MOST_DECIDED - 1)), { print: printOf(command), result }];
}

import { createHash } from 'node:crypto';
import { existsSync, readFileSync, renameSync, writeFileSync } from 'node:fs';
import { uptime } from 'node:os';
import { join, resolve } from 'node:path';

/*
 * How long a controller that was restarted has been away is known without any wall clock as long as the machine itself
 * stayed up: by its uptime. The last tick's is kept where it vanishes with the machine, in memory, and wears no card.
 */

/** A tick, by the machine's uptime. */
export interface UptimeMark {
  /** Another with each start of the machine. */
  readonly machineBootId: string;
  readonly upMs: number;
  readonly sequence: number;
}

/** The mark of one log. */
export interface MarkKeeper {
  /** How long ago the tick of that number was, ms; null where the machine was started anew or nothing was kept. */
  awayMs(lastSequence: number): number | null;
  /** Keeps the present moment as that of a tick; costs no disk. */
  keep(sequence: number): void;
}

const BOOT_ID = '/proc/sys/kernel/random/boot_id';
const IN_MEMORY = '/dev/shm';
const TICK_MS = 1000;
/** A log further behind than this stops the heat; beyond it the mark is of another log. */
const MOST_BEHIND = 120;

/** Where systemd gives a folder in memory that outlives a restart of the service, there; else in the machine's own. */
export function markPath(folder: string, env: Readonly<Record<string, string | undefined>>): string | null {
  const given = env.RUNTIME_DIRECTORY?.split(':')[0] || null;
  const base = given ?? (existsSync(IN_MEMORY) ? IN_MEMORY : null);
  const name = createHash('sha256').update(resolve(folder)).digest('hex').slice(0, 16);
  return base === null ? null : join(base, `bathkeeper-${name}.json`);
}

/** The moment by this machine's uptime, ms, which sleep counts into; null where it has no id of its start (not Linux). */
export function machineNow(): Omit<UptimeMark, 'sequence'> | null {
  try {
    return { machineBootId: readFileSync(BOOT_ID, 'utf8').trim(), upMs: uptime() * 1000 };
  } catch {
    return null;
  }
}

/**
 * From a tick on disk until now, ms. The mark may be of a later tick than the last on disk: ticks come once a second.
 * Null where mark and moment are not of the same start of the machine, or the mark cannot be of this log.
 */
export function awaySince(
  mark: UptimeMark | null,
  now: Omit<UptimeMark, 'sequence'> | null,
  lastSequence: number,
): number | null {
  if (mark === null || now === null || mark.machineBootId !== now.machineBootId) return null;
  const sinceMs = now.upMs - mark.upMs;
  const notOnDisk = mark.sequence - lastSequence;
  if (lastSequence === 0 || sinceMs < 0 || notOnDisk < 0 || notOnDisk > MOST_BEHIND) return null;
  return sinceMs + notOnDisk * TICK_MS;
}

/** The mark at a path; null: nothing is kept and nothing known. */
export function markKeeper(path: string | null, moment = machineNow): MarkKeeper {
  return {
    awayMs: (lastSequence) => (path === null ? null : awaySince(readMark(path), moment(), lastSequence)),
    keep(sequence) {
      const now = path === null ? null : moment();
      if (path === null || now === null) return;
      try {
        writeFileSync(`${path}.new`, JSON.stringify({ ...now, sequence }), { mode: 0o600 });
        renameSync(`${path}.new`, path);
      } catch {
        // Then a restart asks the wall clock, and without one a person: nothing unsafe follows from it.
      }
    },
  };
}

function readMark(path: string): UptimeMark | null {
  try {
    const kept = JSON.parse(readFileSync(path, 'utf8')) as UptimeMark;
    const sound = typeof kept.machineBootId === 'string' && Number.isFinite(kept.upMs);
    return sound && Number.isInteger(kept.sequence) ? kept : null;
  } catch {
    return null;
  }
}

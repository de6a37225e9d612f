import { existsSync, readdirSync } from 'node:fs';
import { join, resolve } from 'node:path';
import { JOURNAL_FILE } from '../journal/journal.ts';

export type FoundLog = { ok: true; path: string } | { ok: false; why: string };

/**
 * The log within a data folder: in the folder itself, or in its one folder of a rig (data/simulated ...).
 * Where several rigs have a log, the caller must say which.
 */
export function findLog(dataDir: string): FoundLog {
  const here = join(resolve(dataDir), JOURNAL_FILE);
  if (existsSync(here)) return { ok: true, path: here };
  const rigs = existsSync(dataDir)
    ? readdirSync(dataDir, { withFileTypes: true })
        .filter((entry) => entry.isDirectory() && existsSync(join(dataDir, entry.name, JOURNAL_FILE)))
        .map((entry) => join(dataDir, entry.name))
    : [];
  const [only] = rigs;
  if (only !== undefined && rigs.length === 1) return { ok: true, path: join(resolve(only), JOURNAL_FILE) };
  if (rigs.length > 1) {
    return { ok: false, why: `there are several logs; give one with --data: ${rigs.join(', ')}.` };
  }
  return { ok: false, why: `there is no log at ${here}. Give the folder that holds it with --data FOLDER.` };
}

import {
  closeSync,
  existsSync,
  fchmodSync,
  fchownSync,
  fsyncSync,
  openSync,
  readFileSync,
  renameSync,
  statSync,
  writeFileSync,
} from 'node:fs';
import { dirname } from 'node:path';
import { checkWhole } from '../config-file.ts';

/**
 * Changes one part of a configuration file and leaves the rest as it stands. Whole or not at all.
 * @returns faults of what would have been written; then nothing was
 */
export function changePart(
  path: string,
  part: 'rig' | 'safety',
  change: (before: Record<string, unknown>) => Record<string, unknown>,
): string[] {
  const raw = existsSync(path) ? (JSON.parse(readFileSync(path, 'utf8')) as Record<string, unknown>) : {};
  const next = { ...raw, [part]: change((raw[part] ?? {}) as Record<string, unknown>) };
  const checked = checkWhole(next);
  if (!checked.ok) return checked.faults;
  try {
    writeDurably(path, `${JSON.stringify(next, null, 2)}\n`);
    return [];
  } catch (error) {
    return [
      `${path} cannot be written: ${(error as Error).message}. Nothing was changed. Ask as a user who may write there (sudo).`,
    ];
  }
}

/**
 * Writes a file whole or not at all, on disk before it returns: the mains may go at any moment. Who may read the one before
 * may read this one: the service must not lose its configuration because somebody changed it as root.
 */
export function writeDurably(path: string, text: string): void {
  const before = existsSync(path) ? statSync(path) : null;
  const file = openSync(`${path}.new`, 'w');
  try {
    if (before !== null) {
      fchmodSync(file, before.mode & 0o777);
      if (process.getuid?.() === 0) fchownSync(file, before.uid, before.gid);
    }
    writeFileSync(file, text);
    fsyncSync(file);
  } finally {
    closeSync(file);
  }
  renameSync(`${path}.new`, path);
  const folder = openSync(dirname(path), 'r');
  fsyncSync(folder);
  closeSync(folder);
}

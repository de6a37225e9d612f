import { existsSync, readFileSync, renameSync, writeFileSync } from 'node:fs';
import { checkConfig } from '../../../shared/wire/config.ts';

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
  const checked = checkConfig(next);
  if (!checked.ok) return checked.faults;
  writeFileSync(`${path}.new`, `${JSON.stringify(next, null, 2)}\n`);
  renameSync(`${path}.new`, path);
  return [];
}

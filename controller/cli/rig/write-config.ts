import { existsSync, readFileSync, renameSync, writeFileSync } from 'node:fs';
import { checkConfig } from '../../../shared/wire/config.ts';

/**
 * Changes the `rig` part of a configuration file and leaves the rest as it stands. Whole or not at all.
 * @returns faults of what would have been written; then nothing was
 */
export function changeRig(
  path: string,
  change: (rig: Record<string, unknown>) => Record<string, unknown>,
): string[] {
  const raw = existsSync(path) ? (JSON.parse(readFileSync(path, 'utf8')) as Record<string, unknown>) : {};
  const rig = change((raw.rig ?? {}) as Record<string, unknown>);
  const next = { ...raw, rig };
  const checked = checkConfig(next);
  if (!checked.ok) return checked.faults;
  writeFileSync(`${path}.new`, `${JSON.stringify(next, null, 2)}\n`);
  renameSync(`${path}.new`, path);
  return [];
}

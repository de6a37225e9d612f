import { settingsFrom } from '../../controller/tick/settings.ts';
import { startState } from '../../controller/tick/state.ts';
import { statusOf } from '../../controller/tick/status.ts';
import { checkConfig } from '../../shared/wire/config.ts';
import type { Status } from '../../shared/wire/status.ts';

/** What a status says of trip, attendance, rig and water before the first tick: for tests that make a status by hand. */
export function calmSafety(): Pick<Status, 'trip' | 'attendance' | 'rig' | 'water'> {
  const checked = checkConfig({});
  if (!checked.ok) throw new Error(checked.faults.join('\n'));
  const { trip, attendance, rig, water } = statusOf(startState(settingsFrom(checked.config, 'test')));
  return { trip, attendance, rig, water };
}

import type { AlarmId } from '../shared/wire/alarm.ts';
import type { SoundPattern } from './rig/rig.ts';
import type { AlarmRecord } from './tick/alarm/machine.ts';
import { ALARMS } from './tick/alarm/table.ts';
import { rings } from './tick/alarm/view.ts';

/** The rig's pattern of each priority. */
export const PATTERNS = { high: 3, medium: 2, low: 1 } as const;
const NONE: ReadonlySet<AlarmId> = new Set();

/**
 * What the rig's own sounder is to say: the loudest alarm that stands and that nobody has acknowledged. `hushed` are those
 * that somebody silenced for some minutes, or that quiet hours hold back.
 */
export function soundFor(alarms: readonly AlarmRecord[], hushed: ReadonlySet<AlarmId> = NONE): SoundPattern {
  let loudest: SoundPattern = 0;
  for (const record of alarms) {
    if (!record.active || record.state !== 'unacknowledged' || hushed.has(record.alarmId)) continue;
    const pattern = PATTERNS[ALARMS[record.alarmId].priority];
    if (pattern > loudest && rings(record, alarms)) loudest = pattern;
  }
  return loudest;
}

import type { SoundPattern } from './rig/rig.ts';
import type { AlarmRecord } from './tick/alarm/machine.ts';
import { ALARMS } from './tick/alarm/table.ts';

const PATTERNS = { high: 3, medium: 2, low: 1 } as const;

/** What the rig's own sounder is to say: the loudest alarm that stands and that nobody has acknowledged. */
export function soundFor(alarms: readonly AlarmRecord[]): SoundPattern {
  let loudest: SoundPattern = 0;
  for (const { alarmId, state, active } of alarms) {
    if (!active || state !== 'unacknowledged') continue;
    const pattern = PATTERNS[ALARMS[alarmId].priority];
    if (pattern > loudest) loudest = pattern;
  }
  return loudest;
}

import { signal } from '@preact/signals';
import { z } from 'zod';
import { type AlarmEntry, type AlarmView, alarmEntrySchema } from '../../../../shared/wire/alarm.ts';
import { status } from '../../state/bath.ts';

const answerSchema = z.object({ alarms: z.array(alarmEntrySchema) });

/** The controller's table of alarms; null until it has come. */
export const entries = signal<readonly AlarmEntry[] | null>(null);
/** The last try to fetch it failed. */
export const failed = signal(false);

/** Fetches the table; it does not change while the controller runs. */
export async function fetchEntries(): Promise<void> {
  failed.value = false;
  try {
    const response = await fetch('/api/alarms');
    entries.value = answerSchema.parse(await response.json()).alarms;
  } catch {
    failed.value = true;
  }
}

/** What people call an alarm; its id until the table has come. */
export function titleOf(alarmId: string): string {
  return entries.value?.find((entry) => entry.alarmId === alarmId)?.title ?? alarmId;
}

/** The alarm as it stands now; null where it is at rest. */
export function standingOf(alarmId: string): AlarmView | null {
  return status.value?.alarms.find((alarm) => alarm.alarmId === alarmId) ?? null;
}

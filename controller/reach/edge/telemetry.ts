import type { Priority } from '../../../shared/wire/alarm.ts';
import type { Status } from '../../../shared/wire/status.ts';
import { highest } from '../work.ts';

/** One value to publish. An empty payload takes a retained one away: no value is better than an old one. */
export interface Reading {
  readonly topic: string;
  readonly payload: string;
}

/**
 * What the bath looks like, one topic a value and `state` with all of them as JSON; units last in the names. A
 * temperature is given only while its reading is good.
 */
export function readingsOf(status: Status, expireS: number): Reading[] {
  const bathC = status.bath.quality === 'good' ? status.bath.celsius : null;
  const unseen = status.alarms.filter((alarm) => /unacknowledged/.test(alarm.state));
  const priority: Priority | 'none' =
    unseen.length === 0 ? 'none' : highest(unseen.map((one) => one.priority));
  const state = {
    time: new Date(status.wallMs).toISOString(),
    timeTrusted: status.wallTrusted,
    expireS,
    bathCelsius: bathC,
    bathQuality: status.bath.quality,
    setpointCelsius: status.setpointC,
    heatGranted: status.heat.granted,
    heatDuty: status.heat.duty,
    heatReason: status.heat.reason,
    cook: status.cook && { name: status.cook.name, stage: status.cook.stage },
    alarms: status.alarms.map(({ alarmId, title, priority, state, active, sinceMs }) => ({
      alarmId,
      title,
      priority,
      state,
      active,
      since: new Date(sinceMs).toISOString(),
    })),
  };
  return [
    { topic: 'state', payload: JSON.stringify(state) },
    { topic: 'bath/celsius', payload: numberText(bathC) },
    { topic: 'setpoint/celsius', payload: numberText(status.setpointC) },
    { topic: 'heat/duty', payload: numberText(status.heat.duty) },
    { topic: 'alarms/unacknowledged', payload: String(unseen.length) },
    { topic: 'alarms/priority', payload: priority },
  ];
}

const numberText = (value: number | null): string =>
  value === null ? '' : String(Math.round(value * 1000) / 1000);

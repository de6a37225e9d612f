import type { AlarmView } from '../../shared/wire/alarm.ts';

/** Three invented alarms, one of each priority and each in another state. */
export function alarmsOf(nowMs: number): AlarmView[] {
  return [
    {
      alarmId: 'bath-below-hot-limit',
      title: 'Bath below the hot limit with food in',
      priority: 'high',
      state: 'unacknowledged',
      active: true,
      sinceMs: nowMs - 95_000,
      cause: 'The bath has lost more heat than the element gives: lid off, mains gone, or element dead.',
      consequence:
        'Below 57.2 °C (135 °F) bacteria can grow in the food; what they leave behind no later heat destroys.',
      action:
        'Put the lid on and see that the element has power. If it cannot be mended in minutes, chill the food in ice.',
      detail: 'Seen 56.1 °C, expected at least 57.2 °C; falling by 0.45 K a minute.',
      acknowledgedBy: null,
      rings: true,
      becauseOf: null,
      escalateAfterS: 180,
      aside: null,
    },
    {
      alarmId: 'bath-low',
      title: 'Bath under the setpoint',
      priority: 'medium',
      state: 'acknowledged',
      active: true,
      sinceMs: nowMs - 1_500_000,
      cause: 'More heat is lost than given.',
      consequence: 'The food heats more slowly than planned.',
      action: 'Look at the lid, the plug and the pump.',
      detail: 'Seen 56.1 °C, expected within 1.0 K of 74.0 °C.',
      acknowledgedBy: 'night watch',
      rings: false,
      becauseOf: null,
      escalateAfterS: 900,
      aside: null,
    },
    {
      alarmId: 'controller-restarted',
      title: 'The controller started again during the cook',
      priority: 'low',
      state: 'returned-unacknowledged',
      active: false,
      sinceMs: nowMs - 2_600_000,
      cause: 'Power was gone for a moment.',
      consequence: 'For 41 s nobody watched the bath.',
      action: 'Look at the bath; then acknowledge.',
      detail: 'Away for 41 s.',
      acknowledgedBy: null,
      rings: true,
      becauseOf: null,
      escalateAfterS: 180,
      aside: null,
    },
  ];
}

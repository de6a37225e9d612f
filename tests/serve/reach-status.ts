import type { Status } from '../../shared/wire/status.ts';
import { calmSafety } from '../control/safety-view.ts';
import { NIGHT, view } from './reach-bench.ts';

/** The hut's bath at night, in the middle of a cook. Invented. */
export function hutStatus(more: Partial<Status> = {}): Status {
  return {
    sequence: 1234,
    wallMs: NIGHT,
    wallTrusted: true,
    bath: { celsius: 71.25, quality: 'good', ageMs: 300 },
    setpointC: 72,
    bandC: { lowC: 71, highC: 73 },
    hotLimitC: 57.2,
    heat: { granted: true, duty: 0.4, circuitClosed: true, stopped: false, reason: 'Holding the setpoint.' },
    cook: {
      cookId: 'c1',
      name: 'Two lamb shoulders',
      stage: 'holding',
      startedAtMs: NIGHT - 3600_000,
      endedAtMs: null,
    },
    bags: [],
    alarms: [view('bath-low', 'unacknowledged', NIGHT)],
    ...calmSafety(),
    question: null,
    ...more,
  };
}

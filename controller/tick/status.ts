import type { Status } from '../../shared/wire/status.ts';
import { alarmViews } from './alarm/view.ts';
import { bagView, type Outlook, outlookOf } from './estimate/view.ts';
import { hotLimitC } from './limits.ts';
import { ANSWER_S } from './load.ts';
import { outageView } from './outage/view.ts';
import type { BagTrack, TickState } from './state.ts';
import { HIGH_C } from './supervise/bath-high.ts';
import { LOW_C } from './supervise/bath-low.ts';
import { attendanceView, rigView, tripView, waterView } from './supervise/view.ts';

/**
 * The present state as a page needs it. Made from the state alone, outside the tick, only when somebody looks.
 * `outlook` looks ahead for a bag; it takes milliseconds, so a caller who asks often gives one that remembers.
 */
export function statusOf(
  state: TickState,
  outlook: (state: TickState, bag: BagTrack) => Outlook = outlookOf,
): Status {
  const { cook, lastGood, heat } = state;
  const stopped = heat.stoppedBy !== null;
  const running = cook && cook.endedAtMs === null ? cook : null;
  return {
    sequence: state.sequence,
    wallMs: state.wallMs,
    wallTrusted: state.wallTrusted,
    bath: {
      celsius: lastGood?.celsius ?? null,
      quality: state.quality,
      ageMs: lastGood ? state.monotonicMs - lastGood.monotonicMs : null,
    },
    setpointC: running ? running.setpointC : null,
    bandC: running && { lowC: running.setpointC - LOW_C, highC: running.setpointC + HIGH_C },
    hotLimitC: hotLimitC(cook?.setpointC ?? null),
    heat: {
      granted: heat.granted,
      duty: state.regulator.duty,
      circuitClosed: state.circuitClosed,
      stopped,
      reason: heat.reason,
    },
    cook: cook && {
      cookId: cook.cookId,
      name: cook.name,
      stage: cook.stage,
      startedAtMs: cook.startedAtMs,
      endedAtMs: cook.endedAtMs,
    },
    bags: state.bags.map((bag) => bagView(state, bag, outlook(state, bag))),
    alarms: alarmViews(state),
    trip: tripView(state),
    attendance: attendanceView(state),
    rig: rigView(state),
    water: waterView(state),
    question: questionOf(state),
    outage: outageView(state),
  };
}

function questionOf(state: TickState): Status['question'] {
  const { load, clockS, wallMs } = state;
  if (load.dipAtS === null) return null;
  const askedMs = wallMs - (clockS - load.askedAtS) * 1000;
  return {
    kind: 'load',
    sinceMs: askedMs,
    dueMs: askedMs + ANSWER_S * 1000,
    text: 'Something cold took heat from the water. Did food go in?',
  };
}

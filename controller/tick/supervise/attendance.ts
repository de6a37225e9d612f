import { isPutAside } from '../alarm/machine.ts';
import type { TickState } from '../state.ts';
import { nobodyReachable } from './calls.ts';

/** Who watches: plain data, carried over cooks. */
export interface Attendance {
  /** Somebody asked for a cook that nobody attends, and the rig had what that needs. */
  readonly unattended: boolean;
  /** The tick's clock when a person last gave a sign. */
  readonly hereAtS: number;
  /** When a person last answered a test of the alarm path: tick's clock, and wall clock for showing. */
  readonly answeredAtS: number | null;
  readonly answeredAtMs: number | null;
}

export const NOBODY: Attendance = { unattended: false, hereAtS: 0, answeredAtS: null, answeredAtMs: null };

/** What an unattended cook needs and this rig has not: what is missing and what to do about it. */
export interface Lack {
  readonly id: LackId;
  readonly text: string;
  readonly action: string;
}

export const LACK_IDS = [
  'board',
  'guard-switch',
  'second-probe',
  'level-switch',
  'cut-out',
  'alarm-path',
  'ways',
  'alarm-test',
] as const;
export type LackId = (typeof LACK_IDS)[number];

/** A test of the alarm path counts for so long, s. */
export const ANSWER_HOLDS_S = 12 * 3600;
/** A probe or a switch not heard for so long does not count, s. */
const SILENT_S = 15;

const LACKS: Readonly<Record<LackId, Omit<Lack, 'id'>>> = {
  board: {
    text: 'The board that grants heat by lease does not answer.',
    action: 'Connect the board; it cuts the heat by itself when the controller fails.',
  },
  'guard-switch': {
    text: 'The rig has one switch, and a switch can weld shut.',
    action: 'Fit a second switch in series on a pin of its own, and set safety.switches to 2.',
  },
  'second-probe': {
    text: 'There is no second probe in the water, it is not heard, or the alarm of the two is set aside: a lone probe can drift unseen.',
    action:
      'Hang a second probe below the element, set safety.secondProbe, and let its alarm be heard again where somebody shelved it.',
  },
  'level-switch': {
    text: 'There is no level switch, or it is not heard: no thermometer shows that water leaks away.',
    action: 'Fit a level switch above the element and set safety.levelSwitch.',
  },
  'cut-out': {
    text: 'No independent manual-reset over-temperature cut-out was proven.',
    action:
      'Fit one that needs no electronics, and try it: bathkeeper rig --commission notes the date (safety.cutOutProvenOn).',
  },
  'alarm-path': {
    text: 'No alarm path that outlives the mains was proven.',
    action:
      'Give computer and sounder a battery, or let an outside receiver miss the heartbeat. Prove it by pulling the plug: bathkeeper rig --commission notes the date (safety.alarmPathProvenOn).',
  },
  ways: {
    text: 'None of the ways to call a person works at present.',
    action: 'Look at network and addresses, and send a test to each way.',
  },
  'alarm-test': {
    text: 'Nobody has answered a test of the alarm in the last 12 h.',
    action: 'Send a test alarm and answer it on the phone that will be beside you.',
  },
};

/** Everything an unattended cook lacks here and now; empty = it may be left alone. */
export function attendanceLacks(state: TickState): Lack[] {
  const { equipment } = state.settings;
  const { pair, switches } = state.watch;
  const { answeredAtS } = state.attendance;
  const missing: Readonly<Record<LackId, boolean>> = {
    board: state.boardUp !== true,
    'guard-switch': equipment.switches < 2,
    'second-probe':
      !equipment.secondProbe || pair.silentS > SILENT_S || pair.learned === 0 || isPairUnheard(state),
    'level-switch': !equipment.levelSwitch || switches.levelSilentS > SILENT_S,
    'cut-out': equipment.cutOutProvenOn === null,
    'alarm-path': equipment.alarmPathProvenOn === null,
    ways: nobodyReachable(state),
    'alarm-test': answeredAtS === null || state.clockS - answeredAtS > ANSWER_HOLDS_S,
  };
  return LACK_IDS.filter((id) => missing[id]).map((id) => ({ id, ...LACKS[id] }));
}

/** Two probes that may disagree without anybody hearing of it are worth no more than one. */
function isPairUnheard({ alarms }: TickState): boolean {
  const record = alarms.find(({ alarmId }) => alarmId === 'probes-disagree');
  return record !== undefined && isPutAside(record);
}

/** Seconds until somebody must have said that they are there; null where nobody is asked. */
export function presenceLeftS(state: TickState): number | null {
  const { presenceS } = state.settings;
  const { cook, heat, attendance } = state;
  if (presenceS === null || !cook || cook.endedAtMs !== null || heat.stoppedBy !== null) return null;
  if (attendance.unattended && attendanceLacks(state).length === 0) return null;
  return presenceS - (state.clockS - attendance.hereAtS);
}

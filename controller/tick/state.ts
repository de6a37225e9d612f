import type { ColdSpotRecord } from '../../shared/food/measured.ts';
import type { MeasuredCore, ProbeHold } from '../../shared/hazard/core-hold.ts';
import type { Belief } from '../../shared/tender/belief.ts';
import type { BagSpec, Lies } from '../../shared/wire/command.ts';
import type { Quality } from '../../shared/wire/reading.ts';
import type { CookStage } from '../../shared/wire/status.ts';
import { type AlarmRecord, restingAlarm } from './alarm/machine.ts';
import { ALARM_IDS } from './alarm/table.ts';
import { isRecordOf, type RigRecord, recalledRig, sameRig } from './control/identify/record.ts';
import type { RigState } from './control/identify/rig.ts';
import { type ProportionState, SWITCH_OFF } from './control/proportion.ts';
import { IDLE_REGULATOR, type RegulatorState } from './control/regulator.ts';
import type { BagEstimate } from './estimate/bag.ts';
import type { BagChill } from './estimate/chill.ts';
import type { HandReading } from './estimate/hand.ts';
import type { ForkTestRecord } from './estimate/kitchen.ts';
import { type BathHistory, EMPTY_HISTORY } from './history.ts';
import { type LoadState, NO_LOAD } from './load.ts';
import type { OutageState } from './outage/state.ts';
import type { Decided } from './repeat.ts';
import type { TickSettings } from './settings.ts';
import { type Attendance, NOBODY } from './supervise/attendance.ts';
import { type CallState, NO_CALLS } from './supervise/calls.ts';
import type { Rearms, Trip } from './supervise/trip.ts';
import { firstWatch, type Watch } from './supervise/watch/watch.ts';

/** Changes whenever the state's form does: a snapshot of another form is left aside, and the cook replayed from its inputs. */
export const STATE_VERSION = 16;

/** The last valid water temperature, and when it arrived. */
export interface LastGood {
  readonly celsius: number;
  readonly monotonicMs: number;
  /** The tick's own clock (seconds since its beginning) at that reading. */
  readonly atS: number;
}

export interface CookState {
  readonly cookId: string;
  readonly name: string;
  readonly stage: CookStage;
  readonly startedAtMs: number;
  readonly endedAtMs: number | null;
  readonly setpointC: number;
  /** For how long the water has been at the setpoint, in seconds. */
  readonly atSetpointS: number;
  /** The setpoint has been reached since it was last changed: deviations count from then on. */
  readonly reached: boolean;
}

/** One bag with what is known of it and what it has been through. */
export interface BagTrack {
  readonly spec: BagSpec;
  readonly cutName: string;
  readonly assumed: boolean;
  readonly inAtMs: number;
  readonly inAtS: number;
  readonly outAtMs: number | null;
  /** The tick's clock when it was taken out. */
  readonly outAtS: number | null;
  /** The tick's clock up to which it has been carried. */
  readonly carriedS: number;
  /** The measured water at that moment, degrees C; null where it was not seen. */
  readonly carriedC: number | null;
  readonly lies: Lies;
  /** How it lay before, oldest first: the tick's clock at which that way of lying ended. */
  readonly layBefore: readonly { readonly untilS: number; readonly lies: Lies }[];
  /** A probe in the piece has given a reading at some time. */
  readonly probeSeen: boolean;
  readonly estimate: BagEstimate;
  readonly coldSpot: ColdSpotRecord | null;
  /** A probe in the piece, as last judged; null where there is none. */
  readonly measured: MeasuredCore | null;
  /** The last core read by hand in the bath, while it bears on the credit or on the page. */
  readonly hand: HandReading | null;
  /** What a probe in the piece showed under the model; it stays when the probe falls silent. */
  readonly wired: ProbeHold | null;
  /** The tick's clock when that probe last gave a reading that meat cannot have. */
  readonly doubtedAtS: number | null;
  /** A reading took back what had been earned up to then; null where none did. */
  readonly anewAtMs: number | null;
  /** Its cooling, where it was taken out to chill. */
  readonly chill: BagChill | null;
  readonly forkTests: readonly ForkTestRecord[];
  readonly metAtMs: number | null;
}

export interface HeatState {
  /** A person stopped the heat, or the cook's end did; null = heat is asked for. */
  readonly stoppedBy: string | null;
  readonly granted: boolean;
  /** The guard switch was leased, with or without heat. */
  readonly guarded: boolean;
  readonly reason: string;
}

/** The whole state of the tick: plain data that survives JSON. */
export interface TickState {
  readonly version: number;
  readonly settings: TickSettings;
  readonly sequence: number;
  readonly monotonicMs: number;
  /** The monotonic clock at the first tick of this run of the controller. */
  readonly firstMs: number;
  readonly wallMs: number;
  readonly wallTrusted: boolean;
  /** Seconds since the tick began, with the time the controller was away where that is known. */
  readonly clockS: number;
  readonly lastGood: LastGood | null;
  readonly quality: Quality;
  readonly circuitClosed: boolean | null;
  readonly cook: CookState | null;
  readonly bags: readonly BagTrack[];
  /** A limit was broken with this very tick. */
  readonly newlyBroken: boolean;
  /** Nobody knows for how long the controller was away; settled at the next reading. */
  readonly awayUnknown: boolean;
  /** What this kitchen has learned of each tenderness class; carried from cook to cook. */
  readonly kitchen: readonly Belief[];
  /** The coldest that the water has been since the cook began, degrees C. */
  readonly coldestC: number | null;
  readonly heat: HeatState;
  readonly regulator: RegulatorState;
  readonly proportion: ProportionState;
  readonly history: BathHistory;
  readonly load: LoadState;
  readonly alarms: readonly AlarmRecord[];
  /** What is known of the rig; carried over cooks. */
  readonly rig: RigState;
  readonly watch: Watch;
  readonly boardUp: boolean;
  /** Version of the board's program, as it last said; null where there is no board. */
  readonly firmware: string | null;
  readonly trip: Trip | null;
  readonly rearms: Rearms;
  readonly attendance: Attendance;
  /** The latest commands, so that one sent twice counts once. */
  readonly decided: readonly Decided[];
  readonly calls: CallState;
  /** A power cut that bags wait to be decided on for; null where there is none. */
  readonly outage: OutageState | null;
}

/** The state before the first tick: no cook, heater off. `record` is what an earlier log knew of the rig. */
export function startState(settings: TickSettings, record: RigRecord | null = null): TickState {
  return {
    version: STATE_VERSION,
    settings,
    sequence: 0,
    monotonicMs: 0,
    firstMs: 0,
    wallMs: 0,
    wallTrusted: false,
    clockS: 0,
    lastGood: null,
    quality: 'offline',
    circuitClosed: null,
    cook: null,
    bags: [],
    newlyBroken: false,
    awayUnknown: false,
    kitchen: [],
    coldestC: null,
    heat: { stoppedBy: null, granted: false, guarded: false, reason: 'No cook is running.' },
    regulator: IDLE_REGULATOR,
    proportion: SWITCH_OFF,
    history: EMPTY_HISTORY,
    load: NO_LOAD,
    alarms: ALARM_IDS.map(restingAlarm),
    rig: recalledRig(settings, record),
    watch: firstWatch(record !== null && isRecordOf(record, settings) ? record.pair : null),
    boardUp: false,
    firmware: null,
    trip: null,
    rearms: {},
    attendance: NOBODY,
    outage: null,
    decided: [],
    calls: NO_CALLS,
  };
}

/**
 * The state under changed settings, as when the controller is started anew. A rig described otherwise is another rig:
 * what was learned of the old one is left aside.
 */
export function withSettings(state: TickState, settings: TickSettings): TickState {
  const next = { ...state, settings };
  if (sameRig(state.settings, settings)) return next;
  return {
    ...next,
    rig: recalledRig(settings, null),
    watch: { ...firstWatch(null), roomC: state.watch.roomC },
  };
}

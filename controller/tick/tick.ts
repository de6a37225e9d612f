import type { CommandResult } from '../../shared/wire/command.ts';
import type { AlarmRow, BagRow, CookRow } from '../../shared/wire/record.ts';
import type { EventRow, Sample } from '../../shared/wire/rows.ts';
import type { HeatLease, TickInput } from '../../shared/wire/tick.ts';
import { type Finding, stepAlarms } from './alarm/step.ts';
import { takeCommands } from './commands.ts';
import { gainsNow } from './control/gains.ts';
import { openAtOnce, proportion } from './control/proportion.ts';
import { freeze, idle, regulate } from './control/regulator.ts';
import { estimateBags } from './estimate/step.ts';
import { forgetBath, recordBath } from './history.ts';
import { explainLoad } from './load.ts';
import { beginOutage, closeOutage, mixingWords } from './outage/follow.ts';
import { restedRig } from './outage/rest.ts';
import { watchLoad } from './question.ts';
import { bagRow, cookRow, sampleOf } from './rows.ts';
import { type Sense, senseBath } from './sense.ts';
import { followCook } from './stage.ts';
import type { TickState } from './state.ts';
import { CHECKS } from './supervise/all.ts';
import { takeCalls } from './supervise/calls.ts';
import { followTrip } from './supervise/trip.ts';
import { watchAfterAway, watchBath } from './supervise/watch/watch.ts';
import { beginWork, tell, type Work } from './work.ts';

/** A lease lasts this long from the board's last status; renewed every second, it never runs dry. */
const LEASE_MS = 1600;
/** A tick later than this is told. */
const LATE_S = 3;
/**
 * The guard stays closed this long after a pulse of heat: a contactor need not follow every pulse of a quick switch,
 * and a regulating switch that has welded shows, since heat then comes while only the guard is closed.
 */
const GUARD_HOLD_S = 15;

/** What one tick gives: the heat asked for, and rows for the journal. */
export interface TickOutput {
  /** Null = no heat: silence opens the switches. */
  readonly lease: HeatLease | null;
  /** Between two pulses of heat, while nothing speaks against heat: a guard switch may stay closed. */
  readonly standBy: boolean;
  readonly sample: Sample;
  readonly events: readonly EventRow[];
  readonly alarms: readonly AlarmRow[];
  readonly results: readonly CommandResult[];
  readonly cook: CookRow | null;
  readonly bags: readonly BagRow[];
}

/**
 * One second of the controller: a pure function of the state and the input.
 * probe -> reading -> supervise -> estimate -> control -> lease, always in this direction; what people say enters as
 * commands of the input. The state handed in is not written to. The same state and input give the same bytes.
 */
export function tick(state: TickState, input: TickInput): { state: TickState; output: TickOutput } {
  const dtS = elapsedS(state, input);
  const work = beginWork(state, input, dtS);
  const { next } = work;
  readClocks(work, state);
  beginOutage(work, state);
  const sense = senseBath(input.readings.bath, state.lastGood, input.monotonicMs);
  next.quality = sense.quality;
  takeCalls(work);
  takeCommands(work);
  estimateBags(work, sense);
  closeOutage(work);
  next.history = recordBath(
    next.history,
    next.clockS,
    sense.celsius,
    state.proportion.on,
    Math.min(dtS, LATE_S),
  );
  watchBath(work, sense, state);
  watchLoad(work);
  followCook(work, sense.celsius);
  const findings = CHECKS.map((check) => check({ input, sense, state: next }));
  stepAlarms(work, findings);
  followTrip(work);
  const lease = control(work, sense, findings);
  const output: TickOutput = {
    lease,
    standBy: lease === null && next.heat.guarded,
    sample: sampleOf(next, sense),
    events: work.events,
    alarms: work.alarmRows,
    results: work.results,
    cook: work.cookChanged && next.cook ? cookRow(next, next.cook) : null,
    bags: next.bags.filter((bag) => work.bagsChanged.has(bag.spec.bagId)).map((bag) => bagRow(next, bag)),
  };
  return { state: next, output };
}

/** Seconds since the last tick; across a restart the time away, where the clock can tell it. */
function elapsedS(state: TickState, input: TickInput): number {
  if (state.sequence === 0) return 0;
  if (input.restart) return (input.restart.awayMs ?? 0) / 1000;
  return Math.max(0, (input.monotonicMs - state.monotonicMs) / 1000);
}

function readClocks(work: Work, state: TickState): void {
  const { next, input, dtS } = work;
  next.sequence = input.sequence;
  next.monotonicMs = input.monotonicMs;
  next.wallMs = input.wallMs;
  next.wallTrusted = input.wallTrusted;
  next.clockS = state.clockS + dtS;
  next.circuitClosed = circuitClosed(input);
  next.boardUp = input.board.link === 'up';
  hearFirmware(work);
  if (state.sequence === 0 || input.restart) next.firstMs = input.monotonicMs;
  if (input.restart) {
    restartClocks(work);
    // What the water did while nobody watched is measured anew (outage/); what was a riddle before is one still.
    const lastGood = input.restart.awayMs === null ? null : state.lastGood;
    next.watch = watchAfterAway(next.watch, lastGood, next.clockS);
    next.rig = restedRig(next.rig);
    next.load = explainLoad(next.load, next.clockS);
    next.regulator = idle(state.regulator);
    next.proportion = openAtOnce(state.proportion);
    tell(work, 'restarted', 'The controller restarted.', { awayMs: input.restart.awayMs });
  } else if (dtS > LATE_S && state.sequence > 0) {
    tell(work, 'tick-late', `A tick came ${dtS.toFixed(1)} s after the last; expected 1 s.`, { dtS });
  }
}

/** The board says once which program it runs: it belongs on the record of the cook. */
function hearFirmware(work: Work): void {
  const { next } = work;
  const { firmware } = work.input.board;
  if (firmware === undefined || firmware === next.firmware) return;
  next.firmware = firmware;
  if (next.cook?.endedAtMs === null) work.cookChanged = true;
  tell(work, 'board-firmware', `The board runs firmware ${firmware}.`, { firmware });
}

/** After a restart ages count by the new monotonic clock, and water of before is no past that a bag may be given. */
function restartClocks({ next, input }: Work): void {
  const awayMs = input.restart?.awayMs ?? null;
  next.awayUnknown = awayMs === null && next.lastGood !== null;
  if (awayMs === null) {
    next.history = forgetBath(next.history, next.clockS);
    // Nobody knows how long ago a test of the alarm was answered: it counts no more.
    next.attendance = { ...next.attendance, answeredAtS: null };
  }
  if (next.lastGood) {
    next.lastGood = { ...next.lastGood, monotonicMs: input.monotonicMs - (awayMs ?? 0) };
  }
}

function circuitClosed({ board }: TickInput): boolean | null {
  if (board.link === 'down' || board.regulatingClosed === null) return null;
  return board.regulatingClosed && board.guardClosed !== false;
}

/** How much heat, and may it be given at all? Any doubt ends with no lease and the reason in words. */
function control(work: Work, sense: Sense, findings: readonly Finding[]): HeatLease | null {
  const { next, dtS } = work;
  const forbids = findings.find((f) => f.heatOff && f.active) ?? findings.find((f) => f.heatOff);
  const reason = whyNot(next, sense, forbids);
  if (reason !== null || next.cook === null || sense.celsius === null) {
    const silent = sense.celsius === null && forbids?.active !== true;
    const brief = next.trip === null && next.heat.stoppedBy === null && (silent || forbids?.brief === true);
    next.regulator = brief ? freeze(next.regulator) : idle(next.regulator);
    next.proportion = openAtOnce(next.proportion);
    next.heat = { ...next.heat, granted: false, guarded: false, reason: reason ?? 'No valid reading.' };
    return null;
  }
  const { settings, cook } = next;
  const stepS = Math.min(Math.max(dtS, 0.001), LATE_S);
  next.regulator = regulate(
    next.regulator,
    gainsNow(settings, next.rig),
    cook.setpointC,
    sense.celsius,
    stepS,
  );
  const { trial } = next.watch;
  const duty = trial.running === null ? next.regulator.duty : trial.running === 'on' ? 1 : 0;
  next.proportion = proportion(next.proportion, duty, stepS, settings);
  const { on, heldS } = next.proportion;
  // While a trial of the guard is read, the guard follows the heat: nothing else may speak into the answer.
  const holds = heldS < GUARD_HOLD_S && !(trial.open && trial.last === 'guard');
  const guarded = on || holds || trial.running === 'guard';
  const reasonNow =
    trial.running === null ? 'Holding the setpoint.' : 'Trying whether the heat does as it is told.';
  next.heat = { ...next.heat, granted: on, guarded, reason: reasonNow };
  return on ? { ms: LEASE_MS } : null;
}

function whyNot(state: TickState, sense: Sense, forbids: Finding | undefined): string | null {
  if (!state.cook || state.cook.endedAtMs !== null) return 'No cook is running.';
  if (state.trip !== null) return `Tripped: ${state.trip.detail}`;
  if (forbids && !forbids.detail && !forbids.reason && sense.celsius === null)
    return 'Waiting for a fresh reading.';
  if (forbids)
    return forbids.detail || forbids.reason || 'An alarm holds the heat off until a person clears it.';
  if (state.heat.stoppedBy !== null) return `Stopped: ${state.heat.stoppedBy}.`;
  const mixing = mixingWords(state);
  if (mixing !== null) return mixing;
  return sense.celsius === null ? 'Waiting for a fresh reading.' : null;
}

import type { Command } from '../../shared/wire/command.ts';
import { GUARDED, MAX_BAGS, SETPOINT_MARGIN_C } from '../../shared/wire/command.ts';
import { alarmsForNewCook, bringAlarmBack, shelve, takeOutOfService } from './alarm/aside.ts';
import { acknowledge, clearLatched, stands } from './alarm/machine.ts';
import { replaceAlarm } from './alarm/step.ts';
import { ALARMS } from './alarm/table.ts';
import { bagLies, confirmColdSpot, takeForkTest } from './bag-care.ts';
import { bagIn, bagOut, editBag } from './bags.ts';
import { endChill, openChill, takeCoreReading } from './chill.ts';
import { LOW_SETPOINT_C } from './limits.ts';
import { explainLoad } from './load.ts';
import { decideOutage, settleFor } from './outage/follow.ts';
import { assumeFood } from './question.ts';
import { decidedBefore, remember } from './repeat.ts';
import type { CookState } from './state.ts';
import { answerAlarmTest, noteCleared, noteHere, setAttendance, toppedUp } from './supervise/commands.ts';
import { explainsC } from './supervise/explains.ts';
import { mayRearmFromAfar } from './supervise/trip.ts';
import { disturbWatch, explainWatch } from './supervise/watch/watch.ts';
import { type Refusal, refuse, tell, type Work } from './work.ts';

/**
 * Carries out the commands of one tick, in their order; each gets a result, and a refusal names its reason.
 * One that was decided before gets the same result again and does nothing: a page whose answer was lost may repeat it.
 */
export function takeCommands(work: Work): void {
  for (const command of work.input.commands) {
    settleFor(work, command);
    const before = decidedBefore(work.next.decided, command);
    if (before !== null) {
      work.results.push(before);
      continue;
    }
    const refusal = carryOut(work, command);
    if (refusal === null && GUARDED.has(command.kind)) noteHere(work);
    const explainedC = refusal === null ? explainsC(work, command) : null;
    if (explainedC !== null) work.next.watch = disturbWatch(work.next.watch, explainedC);
    const { code = null, detail = null } = refusal ?? {};
    const result = { id: command.id, accepted: refusal === null, code, detail };
    work.next.decided = remember(work.next.decided, command, result);
    work.results.push(result);
  }
}

function carryOut(work: Work, command: Command): Refusal | null {
  switch (command.kind) {
    case 'start-cook':
      return startCook(work, command);
    case 'set-setpoint':
      return setSetpoint(work, command);
    case 'bag-in':
      return bagIn(work, command, MAX_BAGS);
    case 'edit-bag':
      return editBag(work, command);
    case 'bag-out':
      return bagOut(work, command);
    case 'core-reading':
      return takeCoreReading(work, command);
    case 'end-chill':
      return endChill(work, command);
    case 'bag-lies':
      return bagLies(work, command);
    case 'fork-test':
      return takeForkTest(work, command);
    case 'cold-spot':
      return confirmColdSpot(work, command);
    case 'answer-load':
      return answerLoad(work, command);
    case 'stop-heat':
      return stopHeat(work, command.by);
    case 'allow-heat':
      return allowHeat(work, command.by);
    case 'acknowledge':
      return acknowledgeAlarm(work, command);
    case 'clear':
      return clearAlarm(work, command);
    case 'shelve':
      return shelve(work, command);
    case 'out-of-service':
      return takeOutOfService(work, command);
    case 'unshelve':
    case 'in-service':
      return bringAlarmBack(work, command);
    case 'end-cook':
      return endCook(work, command.by);
    case 'decide-outage':
      return decideOutage(work, command);
    case 'here':
      return null;
    case 'topped-up':
      return toppedUp(work, command);
    case 'set-attendance':
      return setAttendance(work, command);
    case 'answer-alarm-test':
      return answerAlarmTest(work, command.by);
  }
}

type Of<K extends Command['kind']> = Extract<Command, { kind: K }>;

function setpointRefusal(work: Work, setpointC: number, confirmed: boolean): Refusal | null {
  const most = work.next.settings.hardMaxC - SETPOINT_MARGIN_C;
  if (setpointC > most)
    return refuse(
      'setpoint-over-limit',
      `Asked for ${setpointC.toFixed(1)} °C; at most ${most.toFixed(1)} °C here.`,
    );
  if (setpointC < LOW_SETPOINT_C && !confirmed)
    return refuse('setpoint-low', `Asked for ${setpointC.toFixed(1)} °C.`);
  return null;
}

function startCook(work: Work, command: Of<'start-cook'>): Refusal | null {
  const { next, input } = work;
  if (next.cook && next.cook.endedAtMs === null) return refuse('cook-running', `It is "${next.cook.name}".`);
  const refusal =
    openChill(next.bags) ?? setpointRefusal(work, command.setpointC, command.lowSetpointConfirmed);
  if (refusal) return refusal;
  const cook: CookState = {
    cookId: command.cookId,
    name: command.name,
    stage: 'heating',
    startedAtMs: input.wallMs,
    endedAtMs: null,
    setpointC: command.setpointC,
    atSetpointS: 0,
    reached: false,
  };
  next.cook = cook;
  next.bags = [];
  next.coldestC = next.lastGood?.celsius ?? null;
  next.heat = { ...next.heat, stoppedBy: null };
  next.load = explainLoad(next.load, next.clockS);
  // Leaving a cook alone is decided for that cook.
  next.attendance = { ...next.attendance, unattended: false };
  work.cookChanged = true;
  alarmsForNewCook(work);
  tell(
    work,
    'cook-started',
    `${command.by} started "${command.name}" at ${command.setpointC.toFixed(1)} °C.`,
    {
      setpointC: command.setpointC,
      by: command.by,
      lowSetpointConfirmed: command.lowSetpointConfirmed,
      ...(command.plan ? { plan: command.plan } : {}),
    },
  );
  return null;
}

function setSetpoint(work: Work, command: Of<'set-setpoint'>): Refusal | null {
  const { cook } = work.next;
  if (!cook || cook.endedAtMs !== null) return refuse('no-cook');
  const refusal = setpointRefusal(work, command.setpointC, command.lowSetpointConfirmed);
  if (refusal) return refusal;
  work.next.cook = { ...cook, setpointC: command.setpointC, atSetpointS: 0, reached: false };
  work.next.load = explainLoad(work.next.load, work.next.clockS);
  work.cookChanged = true;
  tell(
    work,
    'setpoint-changed',
    `${command.by} set ${command.setpointC.toFixed(1)} °C (was ${cook.setpointC.toFixed(1)} °C).`,
    {
      fromC: cook.setpointC,
      toC: command.setpointC,
      by: command.by,
      lowSetpointConfirmed: command.lowSetpointConfirmed,
    },
  );
  return null;
}

function answerLoad(work: Work, command: Of<'answer-load'>): Refusal | null {
  const { load, clockS } = work.next;
  if (load.dipAtS === null) return refuse('no-question');
  if (command.foodIn) {
    const refusal = assumeFood(work, command.by);
    if (refusal) return refusal;
  } else {
    tell(work, 'load-answered', `${command.by} says that no food went in.`, {
      foodIn: false,
      by: command.by,
    });
  }
  work.next.load = explainLoad(load, clockS);
  return null;
}

function stopHeat(work: Work, by: string): Refusal | null {
  if (work.next.heat.stoppedBy === null) tell(work, 'heat-stopped', `${by} stopped the heat.`, { by });
  work.next.heat = { ...work.next.heat, stoppedBy: by };
  return null;
}

function allowHeat(work: Work, by: string): Refusal | null {
  const { cook, heat } = work.next;
  if (!cook || cook.endedAtMs !== null) return refuse('no-cook');
  if (heat.stoppedBy !== null) tell(work, 'heat-allowed', `${by} allowed heat again.`, { by });
  work.next.heat = { ...heat, stoppedBy: null };
  return null;
}

function acknowledgeAlarm(work: Work, command: Of<'acknowledge'>): Refusal | null {
  const record = work.next.alarms.find((a) => a.alarmId === command.alarmId);
  const after = record && acknowledge(record, ALARMS[record.alarmId], command.by);
  if (!record || !after) return refuse('alarm-unknown', command.alarmId);
  replaceAlarm(work, record, after, command.by);
  return null;
}

function clearAlarm(work: Work, command: Of<'clear'>): Refusal | null {
  if (command.alarmId === 'heat-link-lost' && work.input.board.latched !== null) {
    // What the board has cut is looked at where the board is.
    if (!command.atBath) return refuse('not-at-bath', ALARMS['heat-link-lost'].title);
    // The cut is latched on the board itself, which judges whether its cause has gone; the alarm goes with it.
    tell(work, 'board-clear-asked', `${command.by} asked the board to clear its cut.`, { by: command.by });
    return null;
  }
  const record = work.next.alarms.find((a) => a.alarmId === command.alarmId);
  if (
    record &&
    stands(record) &&
    ALARMS[record.alarmId].trips &&
    !command.atBath &&
    !mayRearmFromAfar(record.alarmId, work.next.rearms, work.next.clockS)
  )
    return refuse('not-at-bath', ALARMS[record.alarmId].title);
  if (record?.alarmId === 'reading-step' && stands(record) && command.atBath) {
    tell(work, 'reading-explained', `${command.by} has looked: the probe is in the water.`, {
      by: command.by,
    });
    work.next.watch = explainWatch(work.next.watch);
    return null;
  }
  const after = record ? clearLatched(record, command.by) : 'not-latched';
  if (after === 'active') return refuse('alarm-active', command.alarmId);
  if (!record || after === 'not-latched') return refuse('alarm-unknown', command.alarmId);
  replaceAlarm(work, record, after, command.by);
  noteCleared(work, command.alarmId);
  return null;
}

function endCook(work: Work, by: string): Refusal | null {
  const { cook } = work.next;
  if (!cook || cook.endedAtMs !== null) return refuse('no-cook');
  if (work.next.bags.some((bag) => bag.outAtMs === null)) return refuse('bags-in');
  tell(work, 'cook-ended', `${by} ended "${cook.name}".`, { by });
  work.next.cook = { ...cook, stage: 'taken-out', endedAtMs: work.input.wallMs };
  work.next.load = explainLoad(work.next.load, work.next.clockS);
  work.cookChanged = true;
  return null;
}

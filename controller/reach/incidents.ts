import type { AlarmId, AlarmState, AlarmView } from '../../shared/wire/alarm.ts';
import type { AlarmRow } from '../../shared/wire/record.ts';
import { incidentOver } from './over.ts';
import { type Incident, type Member, ringingOf } from './state.ts';
import { comparePriority, highest, note, type Work } from './work.ts';

/**
 * Alarms that are one thing from two sides: they ring once, and again only where a higher priority joins. What follows
 * from what stands in the table of alarms (`becauseOf`); any other alarm is a cause of its own.
 */
const CAUSES: Readonly<Partial<Record<AlarmId, string>>> = {
  'bath-low': 'bath too cold',
  'bath-below-hot-limit': 'bath too cold',
  'bath-high': 'bath too hot',
  'over-temperature': 'bath too hot',
};

const UNSEEN: readonly AlarmState[] = ['unacknowledged', 'returned-unacknowledged'];
const isUnseen = (state: AlarmState): boolean => UNSEEN.includes(state);

/** A lesser consequence of what somebody has acknowledged calls nobody: that person knows. */
const isHeard = ({ state, rings }: AlarmView): boolean => isUnseen(state) && rings;

const memberOf = (view: AlarmView): Member => ({
  alarmId: view.alarmId,
  priority: view.priority,
  sinceMs: view.sinceMs,
  title: view.title,
  consequence: view.consequence,
  action: view.action,
  detail: view.detail,
  active: view.active,
  escalateAfterS: view.escalateAfterS,
});

/**
 * Brings the incidents in line with the alarms. What stands decides, so that nothing is missed where changes were
 * lost, in a restart or otherwise; the changes tell who acknowledged, and that something acknowledged rang anew.
 */
export function takeAlarms(work: Work): void {
  const { standing, rows } = work.input;
  if (standing === null) return;
  const seen = new Map<AlarmId, AlarmRow>();
  for (const row of rows) if (isUnseen(row.from) && !isUnseen(row.to)) seen.set(row.alarmId, row);
  const unseen = new Map(standing.filter(isHeard).map((view) => [view.alarmId, view]));
  for (const incident of work.next.incidents) shrink(work, incident, unseen, seen, standing);
  for (const view of unseen.values()) admit(work, view);
}

/** Takes out of an incident what somebody has seen, and brings the rest up to date. */
function shrink(
  work: Work,
  incident: Incident,
  unseen: ReadonlyMap<AlarmId, AlarmView>,
  seen: ReadonlyMap<AlarmId, AlarmRow>,
  standing: readonly AlarmView[],
): void {
  const members = incident.members.flatMap((member) => {
    const view = unseen.get(member.alarmId);
    // Acknowledged and rung anew in between: a new ringing, not the old one.
    if (!view || (seen.has(member.alarmId) && view.sinceMs !== member.sinceMs)) return [];
    return [memberOf(view)];
  });
  if (members.length > 0) {
    replace(work, { ...incident, members, priority: highest(members.map((member) => member.priority)) });
    return;
  }
  work.next.incidents = work.next.incidents.filter((one) => one.id !== incident.id);
  const fates = incident.members.map(
    ({ alarmId, title }) => [title, fateOf(alarmId, seen.get(alarmId), standing)] as const,
  );
  incidentOver(work, incident, fates);
}

/** Why nobody is called for an alarm any more. What still holds is never said to have gone. */
function fateOf(alarmId: AlarmId, row: AlarmRow | undefined, standing: readonly AlarmView[]): string {
  const view = standing.find((one) => one.alarmId === alarmId);
  const state = row?.to ?? view?.state ?? 'normal';
  const by = row?.by ?? view?.acknowledgedBy ?? null;
  const name = by === null ? '' : ` by ${by}`;
  if (state === 'shelved') return `shelved${name}`;
  if (state === 'out-of-service') return `taken out of service${name}`;
  if (by !== null || state === 'acknowledged') return `acknowledged${name}`;
  if (!view || !isUnseen(state)) return 'no longer standing';
  // A lesser consequence of what somebody knows calls nobody; that makes it neither gone nor seen.
  const cause = standing.find((one) => one.alarmId === view.becauseOf);
  const who = cause?.acknowledgedBy ?? 'somebody';
  return `${view.active ? 'still so' : 'gone by itself'}, a consequence of what ${who} has acknowledged`;
}

function replace(work: Work, incident: Incident): void {
  work.next.incidents = work.next.incidents.map((one) => (one.id === incident.id ? incident : one));
}

function admit(work: Work, view: AlarmView): void {
  const cause = CAUSES[view.alarmId] ?? view.alarmId;
  const { incidents } = work.next;
  // What another standing alarm brings about belongs to that one's incident.
  const found =
    incidents.find((incident) => incident.cause === cause) ??
    incidents.find(({ members }) => members.some((member) => member.alarmId === view.becauseOf));
  if (!found) open(work, cause, memberOf(view));
  else if (!found.members.some((member) => member.alarmId === view.alarmId)) join(work, found, view);
}

function join(work: Work, found: Incident, view: AlarmView): void {
  const joined = { ...found, members: [...found.members, memberOf(view)] };
  const worse = comparePriority(view.priority, found.priority);
  if (worse <= 0) {
    replace(work, worse < 0 ? joined : sooner(joined, view, work.input.clockMs));
    return;
  }
  // Worse than what was called out: everybody is called from the start, and the sounder's silence is over.
  replace(work, {
    ...joined,
    priority: view.priority,
    nextClockMs: work.input.clockMs,
    round: 0,
    used: {},
    heldFor: [],
  });
  const { silence } = work.next;
  if (silence) {
    const over = new Set(found.members.map(ringingOf));
    work.next.silence = { ...silence, ringings: silence.ringings.filter((one) => !over.has(one)) };
  }
  notePage(work, view);
}

/** One that is as bad is called out within the time of its own table, however far the calling for its cause has got. */
function sooner(incident: Incident, { escalateAfterS }: AlarmView, clockMs: number): Incident {
  const { nextClockMs } = incident;
  if (nextClockMs === null || escalateAfterS === null) return incident;
  return { ...incident, nextClockMs: Math.min(nextClockMs, clockMs + escalateAfterS * 1000) };
}

function open(work: Work, cause: string, member: Member): void {
  const { next, input } = work;
  const incident: Incident = {
    id: next.nextId,
    cause,
    priority: member.priority,
    members: [member],
    openedClockMs: input.clockMs,
    step: 0,
    nextClockMs: input.clockMs,
    round: 0,
    used: {},
    heldFor: [],
    told: [],
  };
  next.nextId += 1;
  next.incidents = [...next.incidents, incident];
  notePage(work, member);
}

/** The page has it through the stream at the same moment; what can be said is whether any page is open. */
function notePage(work: Work, member: Pick<Member, 'alarmId'>): void {
  const { viewers } = work.input;
  if (viewers === null) return;
  note(work, {
    about: 'page',
    alarmIds: [member.alarmId],
    channelId: 'page',
    channel: 'the page',
    outcome: viewers > 0 ? 'accepted' : 'failed',
    detail: viewers > 0 ? `on ${viewers} open page${viewers === 1 ? '' : 's'}` : 'no page is open anywhere',
  });
}

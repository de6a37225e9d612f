import { healthOf } from './health.ts';
import { post } from './letters.ts';
import type { Channel, Person } from './roster.ts';
import type { Incident } from './state.ts';
import { alarmMessage } from './words.ts';
import { comparePriority, heldByQuiet, note, type Work } from './work.ts';

/**
 * Calls for every incident whose time has come. One step calls everybody already called on their next channel, and
 * the next person on their first: so nobody waits for the end of somebody else's list. Once all channels of all were
 * tried, everybody is called again on all of them at intervals.
 */
export function callOut(work: Work): void {
  const calls = new Map<Channel, number[]>();
  const { clockMs } = work.input;
  const due = work.next.incidents.filter((one) => one.nextClockMs !== null && one.nextClockMs <= clockMs);
  for (const incident of due.sort((a, b) => comparePriority(b.priority, a.priority) || a.id - b.id)) {
    const { after, channels } = incident.round === 0 ? oneStep(work, incident) : allAgain(work, incident);
    work.next.incidents = work.next.incidents.map((one) => (one.id === incident.id ? after : one));
    for (const channel of channels) {
      if (!isOnItsWay(work, channel, incident.id)) {
        calls.set(channel, [...(calls.get(channel) ?? []), incident.id]);
      }
    }
  }
  for (const [channel, incidentIds] of calls) write(work, channel, incidentIds);
}

interface Called {
  readonly after: Incident;
  readonly channels: readonly Channel[];
}

function oneStep(work: Work, incident: Incident): Called {
  const awake = awakePeople(work, incident);
  const used = { ...incident.used };
  const channels: Channel[] = [];
  let newcomer = false;
  for (const person of awake.people) {
    const before = used[person.id];
    if (before === undefined && newcomer) continue;
    const call = nextChannels(work, person, before ?? 0);
    channels.push(...call.channels);
    used[person.id] = (before ?? 0) + call.channels.length;
    // Somebody on whom nothing gets through does not keep the next from being called.
    if (before === undefined && call.works) newcomer = true;
  }
  const { people } = work.parts.roster;
  const heldFor = [...incident.heldFor, ...awake.newlyHeld];
  if (channels.length === 0 && awake.people.length === 0) {
    // Nobody but sleepers: they are called once their quiet hours end. Nobody at all: nothing to wait for.
    return {
      after: { ...incident, heldFor, nextClockMs: people.length > 0 ? incident.nextClockMs : null },
      channels,
    };
  }
  const more = awake.people.some((person) => (used[person.id] ?? 0) < person.channels.length);
  const waitMs = more ? escalateWaitMs(work, incident) : work.parts.rules.reannounceMs[incident.priority];
  return {
    channels,
    after: {
      ...incident,
      used,
      heldFor,
      step: incident.step + 1,
      round: more ? 0 : 1,
      nextClockMs: waitMs === null ? null : work.input.clockMs + waitMs,
    },
  };
}

/** By the configuration, and sooner where an alarm leaves a person less time than that. Null: never. */
function escalateWaitMs(work: Work, { priority, members }: Incident): number | null {
  const usualMs = work.parts.rules.escalateMs[priority];
  if (usualMs === null) return null;
  return Math.min(usualMs, ...members.map(({ escalateAfterS }) => (escalateAfterS ?? Infinity) * 1000));
}

/** The next channel of a person, and with it any before it that is known not to work. */
function nextChannels(work: Work, person: Person, from: number): { channels: Channel[]; works: boolean } {
  const channels: Channel[] = [];
  for (const channel of person.channels.slice(from)) {
    channels.push(channel);
    if (!healthOf(work.next, channel.id).failing) return { channels, works: true };
  }
  return { channels, works: false };
}

function allAgain(work: Work, incident: Incident): Called {
  const awake = awakePeople(work, incident);
  const channels = awake.people.flatMap((person) => person.channels);
  const heldFor = [...incident.heldFor, ...awake.newlyHeld];
  if (channels.length === 0) return { after: { ...incident, heldFor }, channels };
  const waitMs = work.parts.rules.reannounceMs[incident.priority];
  return {
    channels,
    after: {
      ...incident,
      heldFor,
      round: incident.round + 1,
      nextClockMs: waitMs === null ? null : work.input.clockMs + waitMs,
    },
  };
}

function awakePeople(work: Work, incident: Incident): { people: Person[]; newlyHeld: string[] } {
  const people: Person[] = [];
  const newlyHeld: string[] = [];
  for (const person of work.parts.roster.people) {
    if (!heldByQuiet(work, person.quietHours, incident.priority)) {
      people.push(person);
    } else if (!incident.heldFor.includes(person.id)) {
      newlyHeld.push(person.id);
      noteHeld(work, person, incident);
    }
  }
  return { people, newlyHeld };
}

function noteHeld(work: Work, person: Person, incident: Incident): void {
  const [channel] = person.channels;
  if (!channel) return;
  note(work, {
    about: 'alarm',
    alarmIds: incident.members.map((member) => member.alarmId),
    person: { id: person.id, name: person.name },
    channelId: channel.id,
    channel: channel.label,
    outcome: 'held',
    detail: `quiet hours until ${person.quietHours?.to ?? ''} hold ${incident.priority} priority back`,
  });
}

function isOnItsWay(work: Work, channel: Channel, incidentId: number): boolean {
  return work.next.letters.some(
    (letter) => letter.channelId === channel.id && letter.incidentIds.includes(incidentId),
  );
}

function write(work: Work, channel: Channel, incidentIds: readonly number[]): void {
  const incidents = work.next.incidents.filter((one) => incidentIds.includes(one.id));
  post(work, {
    channelId: channel.id,
    incidentIds: [...incidentIds],
    steps: Object.fromEntries(incidents.map((one) => [String(one.id), one.step])),
    message: alarmMessage(work.input, work.parts.rules, channel, incidents),
  });
}

import { createHash } from 'node:crypto';
import { durationText } from '../../shared/units/duration.ts';
import type { Priority } from '../../shared/wire/alarm.ts';
import type { Message, MessageAlarm } from '../../shared/wire/reach-view.ts';
import { timeOfDayText } from './quiet.ts';
import type { Reminder } from './reminders.ts';
import type { Channel } from './roster.ts';
import type { Incident, Member } from './state.ts';
import { comparePriority, highest, type PlanInput, type Rules } from './work.ts';

type Now = Pick<PlanInput, 'clockMs' | 'wallMs' | 'wallTrusted'>;

const iso = (ms: number): string => new Date(ms).toISOString();
const timeText = (rules: Rules, ms: number): string => `${timeOfDayText(rules.zone, ms)} (${rules.zone})`;

/** The same words give the same key, also after a restart that forgot what was sent. */
const keyOf = (...parts: readonly string[]): string =>
  createHash('sha256').update(JSON.stringify(parts)).digest('hex').slice(0, 32);

const alarmOf = (member: Member): MessageAlarm => ({
  alarmId: member.alarmId,
  priority: member.priority,
  title: member.title,
  since: iso(member.sinceMs),
  active: member.active,
  detail: member.detail,
  consequence: member.consequence,
  action: member.action,
});

/** The message that calls one person on one channel, about all incidents that call them at this moment. */
export function alarmMessage(
  now: Now,
  rules: Rules,
  channel: Channel,
  incidents: readonly Incident[],
): Message {
  const members = incidents
    .flatMap((incident) => incident.members)
    .sort((a, b) => comparePriority(b.priority, a.priority));
  const priority = highest(members.map((member) => member.priority));
  const titles = members.map((member) => member.title).join(', ');
  const unseenS = Math.max(...incidents.map((one) => now.clockMs - one.openedClockMs)) / 1000;
  return {
    ...frame(now, rules, channel),
    kind: 'alarm',
    key: keyOf(
      channel.id,
      ...incidents.map((one) => `${one.step}/${one.round}`),
      ...members.map((member) => `${member.alarmId}@${member.sinceMs}`),
    ),
    priority,
    subject: `${priority.toUpperCase()}: ${titles} - ${rules.kitchen}`,
    text: [
      ...members.map((member) => paragraph(rules, member)),
      unseenS < 60 ? '' : `Nobody has acknowledged this for ${durationText(unseenS)}.`,
      tail(now, rules),
    ]
      .filter((part) => part !== '')
      .join('\n\n'),
    alarms: members.map(alarmOf),
    link: rules.pageUrl,
    code: null,
  };
}

function paragraph(rules: Rules, member: Member): string {
  const state = member.active
    ? 'It still holds.'
    : 'The condition has gone by itself, but nobody has acknowledged it.';
  return [
    `${member.title} (${member.priority} priority), since ${timeText(rules, member.sinceMs)}. ${state}`,
    member.detail,
    `What it leads to: ${member.consequence}`,
    `What to do: ${member.action}`,
  ]
    .filter((line) => line !== '')
    .join('\n');
}

function tail(now: Now, rules: Rules): string {
  const clock = now.wallTrusted ? '' : '\nThe clock of the controller is not set: times here may be wrong.';
  const where = rules.pageUrl === null ? 'on the page of the bath' : `at ${rules.pageUrl}`;
  return `Acknowledge ${where}. Answering this message acknowledges nothing.${clock}`;
}

/** Who was called hears that it is over, so that nobody comes running. */
export function overMessage(
  now: Now,
  rules: Rules,
  channel: Channel,
  priority: Priority,
  words: string,
): Message {
  return {
    ...frame(now, rules, channel),
    kind: 'over',
    key: keyOf(channel.id, 'over', words, iso(now.wallMs)),
    priority,
    subject: `Call over: ${words} - ${rules.kitchen}`,
    text: `${words}\n${timeText(rules, now.wallMs)}, ${rules.kitchen}.\nYou were called before and need not act on that call any more.`,
    alarms: [],
    link: rules.pageUrl,
    code: null,
  };
}

/** The message that says which step of a plan is due. */
export function reminderMessage(
  now: Now,
  rules: Rules,
  channel: Channel,
  { key, title, text }: Reminder,
): Message {
  return {
    ...frame(now, rules, channel),
    kind: 'reminder',
    key: keyOf(channel.id, 'reminder', key),
    priority: 'low',
    subject: `Reminder: ${title} - ${rules.kitchen}`,
    text: `${text}\n\nThis is a reminder from the plan, no alarm. Nothing has to be answered.`,
    alarms: [],
    link: rules.pageUrl,
    code: null,
  };
}

/** The message that asks whether it reaches anybody. */
export function testMessage(now: Now, rules: Rules, channel: Channel, code: string): Message {
  const link = rules.pageUrl === null ? null : answerLink(rules.pageUrl, code);
  const how = link === null ? '' : ` or open ${link}`;
  return {
    ...frame(now, rules, channel),
    kind: 'test',
    key: keyOf(channel.id, 'test', code),
    priority: 'low',
    subject: `Test, no alarm: can you be reached? - ${rules.kitchen}`,
    text: [
      `This is a test, not an alarm. It came by: ${channel.label}.`,
      `To prove that it reaches you, enter ${code} on the page of the bath${how}, and confirm. It works once, within 24 h.`,
      'If you do not answer, you do not count as reachable this way.',
    ].join('\n\n'),
    alarms: [],
    link,
    code,
  };
}

function answerLink(pageUrl: string, code: string): string {
  const url = new URL('/reach/answer', pageUrl);
  url.searchParams.set('code', code);
  return url.href;
}

function frame(now: Now, rules: Rules, channel: Channel): Pick<Message, 'kitchen' | 'person' | 'written'> {
  return {
    kitchen: rules.kitchen,
    person: { id: channel.personId, name: channel.personName },
    written: iso(now.wallMs),
  };
}

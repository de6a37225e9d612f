import { noteLetter, post } from './letters.ts';
import type { Incident, Letter } from './state.ts';
import { overMessage } from './words.ts';
import type { Work } from './work.ts';

/** The title of an alarm, and why nobody is called for it any more. */
export type Fate = readonly [title: string, fate: string];

/** Nobody needs calling any more: what has not left is dropped, and who was called hears of it. */
export function incidentOver(work: Work, incident: Incident, fates: readonly Fate[]): void {
  const words = overWords(fates);
  const why = [...new Set(fates.map(([, fate]) => fate))].join('; ');
  const stays = (id: number) => work.next.incidents.some((one) => one.id === id);
  work.next.letters = work.next.letters.flatMap((letter): Letter[] => {
    if (!letter.incidentIds.includes(incident.id) || letter.incidentIds.some(stays)) return [letter];
    if (letter.sentClockMs !== null) return [{ ...letter, overWords: words }];
    noteLetter(work, letter, 'dropped', why);
    return [];
  });
  if (!work.parts.rules.tellWhenOver) return;
  const persons = new Set<string>();
  for (const channelId of incident.told) {
    const channel = work.parts.roster.channels.get(channelId);
    if (!channel || persons.has(channel.personId)) continue;
    persons.add(channel.personId);
    tellOver(work, channelId, incident.priority, words);
  }
}

/** Titles of one fate together, such as `Bath too hot, Bath above setpoint: acknowledged by Cook.` */
function overWords(fates: readonly Fate[]): string {
  const titles = new Map<string, string[]>();
  for (const [title, fate] of fates) titles.set(fate, [...(titles.get(fate) ?? []), title]);
  return `${[...titles].map(([fate, of]) => `${[...new Set(of)].join(', ')}: ${fate}`).join('. ')}.`;
}

/** Tells on one channel that it is over. */
export function tellOver(work: Work, channelId: string, priority: Incident['priority'], words: string): void {
  const channel = work.parts.roster.channels.get(channelId);
  if (!channel) return;
  const { rules } = work.parts;
  post(work, {
    channelId,
    incidentIds: [],
    steps: {},
    message: overMessage(work.input, rules, channel, priority, words),
  });
}

import type { CookDetail } from '../reader.ts';
import { difference } from './bags.ts';
import { type Cell, table, utc } from './html.ts';

/** Every command with the name of who gave it, its outcome, and every version of the cook itself. */
export function decisionSection({ commands, cookVersions }: CookDetail): string {
  const rows = commands.map(({ sequence, wallMs, command, result }): Cell[] => {
    const { kind, id: _id, by, ...what } = command;
    const outcome = result.accepted
      ? 'accepted'
      : `refused: ${result.code}${result.detail ? `, ${result.detail}` : ''}`;
    const asked = Object.keys(what).length > 0 ? JSON.stringify(what) : '';
    return [utc(wallMs), sequence, by, kind, asked, outcome];
  });
  const versions = cookVersions.map(({ sequence, row }, n): Cell[] => {
    const before = cookVersions[n - 1]?.row;
    return [sequence, before ? difference(before, row) : 'first version'];
  });
  const heads = ['Time', 'Tick', 'By', 'Command', 'What', 'Outcome'];
  return `${table('Commands and decisions (stated)', heads, rows)}${table('Every version of the cook (noted)', ['Tick', 'What changed'], versions)}`;
}

/** Every change of state of every alarm. */
export function alarmSection({ alarms }: CookDetail): string {
  const rows = alarms.map(({ sequence, wallMs, alarmId, priority, from, to, detail, by }): Cell[] => {
    return [utc(wallMs), sequence, alarmId, priority, `${from} to ${to}`, detail, by ?? 'the controller'];
  });
  const heads = ['Time', 'Tick', 'Alarm', 'Priority', 'State', 'What was seen', 'By'];
  return table('Alarms (noted; states of ISA-18.2 / IEC 62682)', heads, rows);
}

/** Everything else that the controller noted. */
export function eventSection({ events }: CookDetail): string {
  const rows = events.map(({ sequence, wallMs, kind, text }): Cell[] => [utc(wallMs), sequence, kind, text]);
  return table('Events (noted)', ['Time', 'Tick', 'Kind', 'What'], rows);
}

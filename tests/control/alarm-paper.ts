import { readFileSync, writeFileSync } from 'node:fs';
import { ALARM_IDS, ALARMS } from '../../controller/tick/alarm/table.ts';
import type { AlarmId } from '../../shared/wire/alarm.ts';

/** The paper of the alarms; what stands between the marks is made from the table. */
export const PAPER = 'controller/tick/alarm/README.md';
const BEGIN = '<!-- table: made by `node --import tsx tests/control/alarm-paper.ts` -->';
const END = '<!-- end of the table -->';

const seconds = (value: number): string => (value >= 120 ? `${Math.round(value / 60)} min` : `${value} s`);

function entry(alarmId: AlarmId): string {
  const d = ALARMS[alarmId];
  const escalation = d.escalateAfterMin === null ? 'never by itself' : `after ${d.escalateAfterMin} min`;
  const ways = [
    ...(d.shelveMostMin > 0 ? [`shelved for ${d.shelveMostMin} min at most`] : []),
    ...(d.mayLeaveService ? ['out of service'] : []),
  ];
  const latch = d.trips
    ? `latches the heat off; cleared ${d.rearm === 'anywhere' ? 'from anywhere once in 6 h' : 'at the bath only'}`
    : d.latching
      ? 'latches'
      : 'does not latch';
  return [
    `### ${d.title} (\`${alarmId}\`)`,
    '',
    `| ${d.priority} priority | respond within ${seconds(d.respondS)} | on ${seconds(d.onDelayS)}, off ${seconds(d.offDelayS)} | next person ${escalation} |`,
    '| --- | --- | --- | --- |',
    `| ${latch} | ${ways.length > 0 ? `may be ${ways.join(' or ')}` : 'never set aside'} | consequence of | ${d.follows.map((id) => `\`${id}\``).join(', ') || 'nothing else here'} |`,
    '',
    `- **Cause:** ${d.cause}`,
    `- **If nothing is done:** ${d.consequence}`,
    `- **Action:** ${d.action}`,
    '',
  ].join('\n');
}

/** The part of the paper that is made from the table. */
export function alarmTable(): string {
  return `${BEGIN}\n\n${ALARM_IDS.map(entry).join('\n')}\n${END}`;
}

/** The part of the paper as it stands now; empty where it has none. */
export function printedTable(): string {
  const text = readFileSync(PAPER, 'utf8');
  const [from, to] = [text.indexOf(BEGIN), text.indexOf(END)];
  return from < 0 || to < from ? '' : text.slice(from, to + END.length);
}

if (process.argv[1]?.endsWith('alarm-paper.ts')) {
  writeFileSync(
    PAPER,
    readFileSync(PAPER, 'utf8').replace(printedTable(), () => alarmTable()),
  );
}

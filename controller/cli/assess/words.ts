import type { Verdict } from '../../../shared/hazard/verdict.ts';
import { durationText } from '../../../shared/units/duration.ts';
import type { Assessment, ComeUpEntry, KillEntry } from './result.ts';

/** Beyond this many times its target a number means nothing a cook could use. */
const FAR = 2;

/** An assessment as text for people: the core, every hazard middle and worst, verdicts, repairs and cautions. */
export function textOf(result: Assessment, path: string): string {
  const { core, envelope, tender } = result;
  const degrees = (celsius: number) => `${celsius.toFixed(1)} C`;
  const sections = [
    [
      `Log ${path}: ${durationText(result.durationS)}, ${result.log.rowsUsed} of ${result.log.rowsRead} rows used.`,
    ],
    [
      `Core at the end ${degrees(core.endC)} (between ${degrees(envelope.core.endC)} and ${degrees(envelope.core.hottestEndC)}), at most ${degrees(core.maxC)} (${degrees(envelope.core.maxC)} to ${degrees(envelope.core.hottestMaxC)}).`,
      comeUpWords('Come-up, middle', result.comeUp),
      comeUpWords('Come-up, worst', envelope.comeUp),
      `Danger zone: ${durationText(result.dangerZoneS)}, worst ${durationText(envelope.dangerZoneS)}.`,
      `C. perfringens: grown ${result.growth[0]!.log10.toFixed(2)} log, worst ${envelope.growth[0]!.log10.toFixed(2)} log.`,
      `Tenderness: ${tender.equivalentHoursAt70C.toFixed(1)} equivalent hours at 70 C.`,
    ],
    ['Kill at the core, log10 (middle, worst; when the standard was met):', ...killLines(result)],
    ['Verdicts, each on its own worst case:', ...ownVerdicts(result).flatMap(verdictLines)],
    listed('Repairs:', result.repairs),
    listed('Cautions:', result.cautions),
  ];
  return `${sections
    .filter((lines) => lines.length > 0)
    .map((lines) => lines.join('\n'))
    .join('\n\n')}\n`;
}

function comeUpWords(name: string, { seconds, limitS, status }: ComeUpEntry): string {
  const how = { kept: 'within the limit', 'not-yet': 'not yet arrived', broken: 'OVER the limit' }[status];
  return `${name}: ${durationText(seconds)} of ${durationText(limitS)}, ${how}.`;
}

function killLines({ lethality, envelope }: Assessment): string[] {
  return lethality.map((entry, i) => {
    const worst = envelope.lethality[i]!;
    const target = entry.targetLog10 === null ? '' : ` of ${entry.targetLog10}`;
    return `  ${entry.standard}: ${logText(entry)}, ${logText(worst)}${target}; ${metText(entry)}, worst ${metText(worst)}`;
  });
}

function logText({ log10, targetLog10 }: KillEntry): string {
  if (targetLog10 !== null && log10 > FAR * targetLog10) return `over ${FAR * targetLog10}`;
  return log10.toFixed(1);
}

/** Where only the integral is there, it is called an equivalent. */
function metText({ metAtS, equivalentMetAtS }: KillEntry): string {
  if (metAtS !== null) return `met at ${durationText(metAtS)}`;
  if (equivalentMetAtS === null) return 'not met';
  return `not met as worded; an equivalent at ${durationText(equivalentMetAtS)}`;
}

/** Standards beside the one the food is judged by stand in the list of kills already. */
function ownVerdicts({ verdicts, lethality }: Assessment): readonly Verdict[] {
  const beside = new Set(lethality.slice(1).map(({ standard }) => standard));
  return verdicts.filter(({ rule, status }) => status === 'broken' || !beside.has(rule));
}

function verdictLines({ status, words, source, asks }: Verdict): string[] {
  return [`  [${status}] ${words} (${source})`, ...(asks ? [`    ${asks}`] : [])];
}

function listed(title: string, items: readonly string[]): string[] {
  return items.length === 0 ? [] : [title, ...items.map((item) => `  - ${item}`)];
}

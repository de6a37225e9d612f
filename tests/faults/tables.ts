import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { ALARMS } from '../../controller/tick/alarm/table.ts';
import { CHECKS } from '../../controller/tick/supervise/all.ts';
import { alarmIdSchema } from '../../shared/wire/alarm.ts';
import { CAUGHT_BY } from './caught-by.ts';
import { unseenLines } from './paper.ts';

const FOLDER = 'controller/tick/supervise';

/** A part of a paper that is made from the code: between two marks, so that the rest is written by hand. */
export interface MadePart {
  readonly paper: string;
  readonly name: string;
  readonly lines: readonly string[];
}

/** Every made part. */
export function madeParts(): MadePart[] {
  return [
    { paper: `${FOLDER}/README.md`, name: 'checks', lines: checkLines() },
    { paper: 'shared/bath/README.md', name: 'unseen', lines: unseenLines() },
  ];
}

const begins = (name: string) => `<!-- made: ${name} -->`;
const ends = (name: string) => `<!-- end of ${name} -->`;

/** The lines of that part as the paper has them now; null where its marks are missing. */
export function foundPart({ paper, name }: MadePart): string[] | null {
  const lines = readFileSync(paper, 'utf8').split('\n');
  const from = lines.indexOf(begins(name));
  const to = lines.indexOf(ends(name));
  return from < 0 || to < from ? null : lines.slice(from + 1, to).filter((line) => line !== '');
}

/** The paper with that part put in its place. */
export function withPart({ paper, name, lines }: MadePart): string {
  const text = readFileSync(paper, 'utf8');
  const from = text.indexOf(begins(name));
  const to = text.indexOf(ends(name));
  if (from < 0 || to < from) throw new Error(`${paper} has no marks for "${name}"`);
  return `${text.slice(0, from + begins(name).length)}\n\n${lines.join('\n')}\n\n${text.slice(to)}`;
}

function checkLines(): string[] {
  const sources = readdirSync(FOLDER)
    .filter((name) => name.endsWith('.ts') && name !== 'all.ts')
    .map((name) => ({ name, text: readFileSync(join(FOLDER, name), 'utf8') }));
  const rows = CHECKS.map((check) => {
    const source = sources.find(({ text }) => text.includes(`export function ${check.name}(`));
    if (!source) throw new Error(`no file in ${FOLDER} has ${check.name}`);
    const { words, alarmId, body } = readCheck(source.text, check.name);
    const { title, priority } = ALARMS[alarmId];
    const kind = CAUGHT_BY[check.name]?.[0] ?? '-';
    return `| [${check.name}](${source.name}) | ${title} (\`${alarmId}\`), ${priority} | ${words} | ${heatWords(alarmId, body)} | ${kind} |`;
  });
  return ['| check | alarm | what it sees | heat | fault that shows it |', '|---|---|---|---|---|', ...rows];
}

/** The docstring of a check and the alarm that it raises. */
function readCheck(text: string, name: string) {
  const at = text.indexOf(`export function ${name}(`);
  const comment = text.slice(0, at).match(/\/\*\*((?:(?!\*\/)[\s\S])*)\*\/\s*$/)?.[1] ?? '';
  const words = comment
    .replace(/^\s*\* ?/gm, ' ')
    .replace(/\s+/g, ' ')
    .trim();
  if (words === '') throw new Error(`${name} has no docstring`);
  const body = text.slice(at, text.indexOf('\n}\n', at));
  const alarmId = alarmIdSchema.parse(
    body.match(/(?:quiet|unknown|byDesign|alarmId:)\s*\(?'([a-z-]+)'/)?.[1],
  );
  return { words, alarmId, body };
}

function heatWords(alarmId: keyof typeof ALARMS, body: string): string {
  const { trips, rearm } = ALARMS[alarmId];
  if (trips) return rearm === 'anywhere' ? 'trips; cleared anywhere' : 'trips; cleared at the bath';
  return /heatOff(?!: false)/.test(body) ? 'off while it holds' : 'stays';
}

import { describe, expect, it } from 'vitest';
import { DATA_FILES, LONG_FILES, LONG_FUNCTIONS } from './ratchet.ts';
import { read, sourceFiles } from './tree.ts';

const FILE_LINES = 300;
const FUNCTION_LINES = 60;
const judged = sourceFiles().filter((path) => !DATA_FILES.some((pattern) => pattern.test(path)));

interface Length {
  readonly name: string;
  readonly lines: number;
}

const fileLengths = (): Length[] =>
  judged.map((path) => ({ name: path, lines: read(path).trimEnd().split('\n').length }));

/** Functions by the indentation that the formatter guarantees: from a line that opens one to the line that closes it. */
function functionLengths(path: string): Length[] {
  const lines = read(path).split('\n');
  const found: Length[] = [];
  lines.forEach((line, start) => {
    const opens =
      /^(\s*)(?:export )?(?:default )?(?:async )?function\*? (\w+)/.exec(line) ??
      /^(\s*)(?:export )?const (\w+)(?:: [^=]+)? = (?:async )?(?:\([^()]*\)|\w+)(?:: [^=]+)? => \{$/.exec(
        line,
      ) ??
      /^(\s+)(?:async |static |get |set )*(\w+)\([^;]*\)(?:: [^{]+)? \{$/.exec(line);
    if (!opens || /^\s*(?:if|for|while|switch|catch|return|describe|it)\b/.test(line)) return;
    const end = lines.findIndex((other, i) => i > start && new RegExp(`^${opens[1]}\\}[;,)]*$`).test(other));
    if (end > start) found.push({ name: `${path} ${opens[2]}`, lines: end - start + 1 });
  });
  return found;
}

function overLimit(all: Length[], limit: number, ratchet: Readonly<Record<string, number>>): string[] {
  return all
    .filter(({ name, lines }) => lines > Math.max(limit, ratchet[name] ?? 0))
    .map(({ name, lines }) => `${name}: ${lines} lines`);
}

describe('length', () => {
  it(`of a file is at most ${FILE_LINES} lines`, () => {
    expect(overLimit(fileLengths(), FILE_LINES, LONG_FILES)).toEqual([]);
  });

  it(`of a function is at most ${FUNCTION_LINES} lines`, () => {
    const all = judged.filter((path) => /\.(tsx?|mjs)$/.test(path)).flatMap(functionLengths);
    expect(all.length).toBeGreaterThan(100);
    expect(overLimit(all, FUNCTION_LINES, LONG_FUNCTIONS)).toEqual([]);
  });

  it('is on the ratchet only where it is over the limit, and by exactly what it is', () => {
    const files = new Map(fileLengths().map(({ name, lines }) => [name, lines]));
    const functions = new Map(judged.flatMap(functionLengths).map(({ name, lines }) => [name, lines]));
    const slack = [
      ...Object.entries(LONG_FILES).filter(([name, lines]) => files.get(name) !== lines),
      ...Object.entries(LONG_FUNCTIONS).filter(([name, lines]) => functions.get(name) !== lines),
    ];
    expect(slack.map(([name]) => `${name}: take it off the list or tighten it`)).toEqual([]);
  });
});

import { parseArgs } from 'node:util';
import { BathkeeperError } from '../../shared/wire/errors.ts';
import type { CliIo } from './io.ts';

/** Something that was asked for is not there, or was asked for wrongly: exit code 2. */
export class Input extends Error {}

/** Flags of a verb that looks after the log: those that take a text, and those that stand alone. */
export interface CareFlags<T extends string, F extends string> {
  readonly verb: string;
  readonly help: string;
  readonly texts: readonly T[];
  readonly flags: readonly F[];
}

export interface Asked<T extends string, F extends string> {
  readonly text: Partial<Record<T, string>>;
  readonly on: Partial<Record<F, boolean>>;
  readonly names: readonly string[];
}

/**
 * The frame of such a verb: parses, prints the help, prints what `work` gives (as JSON with --json, else its words), and
 * turns what goes wrong into a line on standard error. Gives the exit code: 0 done, 1 failure, 2 bad input.
 */
export async function care<T extends string, F extends string, R extends object>(
  { verb, help, texts, flags }: CareFlags<T, F>,
  argv: string[],
  io: CliIo,
  work: (asked: Asked<T, F>) => Promise<R>,
  words: (result: R) => string,
): Promise<number> {
  const options = Object.fromEntries([
    ...texts.map((name) => [name, { type: 'string' }] as const),
    ...[...flags, 'json', 'help'].map((name) => [name, { type: 'boolean' }] as const),
  ]);
  try {
    const parsed = parseArgs({ args: argv, allowPositionals: true, options });
    const values = parsed.values as Record<string, string | boolean | undefined>;
    if (values.help) {
      io.out(help);
      return 0;
    }
    const result = await work({
      text: values as Partial<Record<T, string>>,
      on: values as Partial<Record<F, boolean>>,
      names: parsed.positionals,
    });
    io.out(values.json ? `${JSON.stringify(result)}\n` : words(result));
    return 0;
  } catch (error) {
    const { message, code } = error as Error & { code?: string };
    const misused = error instanceof Input || code?.startsWith('ERR_PARSE_ARGS');
    io.err(`bathkeeper ${verb}: ${misused ? message.split('\n', 1)[0] : wordsOf(error)}\n`);
    return misused ? 2 : 1;
  }
}

const wordsOf = (error: unknown) =>
  error instanceof BathkeeperError && error.code === 'journal-failed'
    ? error.detail
    : (error as Error).message;

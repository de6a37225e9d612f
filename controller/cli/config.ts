import { parseArgs } from 'node:util';
import { type ConfigKey, configKeys, valueAt } from './config/keys.ts';
import { CONFIG_WORDS } from './config/words.ts';
import { loadConfig } from './config-file.ts';
import type { CliIo } from './io.ts';

const HELP = `bathkeeper config: every key of the configuration, what it takes and means, and what holds here.

The file is one JSON object; a section such as "bath" is an object within it. What is left out keeps its usual value.
The file is checked whole, and each fault is named with its place.

  --config FILE     the file to check (default bathkeeper.json, or BATHKEEPER_CONFIG)
  --json            print one JSON document and nothing else
  --help            print this

Exit codes: 0 no fault, 2 bad input.
`;

const FLAGS = {
  config: { type: 'string' },
  json: { type: 'boolean' },
  help: { type: 'boolean' },
} as const;

/** A key with its words and what holds for it now. */
interface Line extends ConfigKey {
  readonly means: string;
  /** Undefined for the keys of an entry of a list, and of a section that is null. */
  readonly here: unknown;
}

/** The verb `config`. */
export async function configVerb(argv: readonly string[], io: CliIo): Promise<number> {
  let flags: { config?: string | undefined; json?: boolean | undefined; help?: boolean | undefined };
  try {
    flags = parseArgs({ args: [...argv], options: FLAGS }).values;
  } catch (error) {
    io.err(`${(error as Error).message}\nSee: bathkeeper config --help\n`);
    return 2;
  }
  if (flags.help) {
    io.out(HELP);
    return 0;
  }
  const loaded = loadConfig(flags.config, process.env.BATHKEEPER_CONFIG);
  if (!loaded.ok) {
    io.err(`${loaded.message}\n`);
    return 2;
  }
  const lines = configKeys().map((key) => ({
    ...key,
    means: CONFIG_WORDS[key.path] ?? '',
    here: valueAt(loaded.config, key.path),
  }));
  io.out(
    flags.json
      ? `${JSON.stringify({ from: loaded.from, keys: lines }, null, 2)}\n`
      : asText(lines, loaded.from),
  );
  return 0;
}

function asText(lines: readonly Line[], from: string): string {
  const parts = lines.map(({ path, takes, required, usual, means, here }) => {
    const without = required ? 'must be given' : `usually ${JSON.stringify(usual)}`;
    const changed = here !== undefined && JSON.stringify(here) !== JSON.stringify(usual);
    const now = changed ? `\n    here: ${JSON.stringify(here)}` : '';
    return `${path}\n    ${means}\n    ${takes}; ${without}${now}\n`;
  });
  return `${parts.join('\n')}\nIn force: ${from}. No faults.\n`;
}

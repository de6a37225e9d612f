#!/usr/bin/env node
import { BathkeeperError, ERRORS } from '../../shared/wire/errors.ts';
import type { CliIo } from './io.ts';
import { VERBS } from './verbs.ts';

const io: CliIo = {
  out: (text) => process.stdout.write(text),
  err: (text) => process.stderr.write(text),
};

async function main(argv: string[]): Promise<number> {
  const [name, ...rest] = argv;
  if (name === undefined || name === '--help' || name === '-h' || name === 'help') {
    io.out(usage());
    return name === undefined ? 2 : 0;
  }
  const verb = VERBS.find((candidate) => candidate.name === name);
  if (!verb) {
    io.err(
      `"${name}" is not a verb of bathkeeper. Expected one of: ${VERBS.map((v) => v.name).join(', ')}.\n`,
    );
    return 2;
  }
  const load = await verb.load();
  return load(rest, io);
}

function usage(): string {
  const lines = VERBS.map((verb) => `  ${verb.name.padEnd(10)} ${verb.about}`);
  return `bathkeeper <verb> [flags]\n\n${lines.join('\n')}\n\nEach verb takes --help.\n`;
}

try {
  process.exitCode = await main(process.argv.slice(2));
} catch (error) {
  if (error instanceof BathkeeperError) {
    const { cause, action } = ERRORS[error.code];
    io.err(`${cause}${error.detail ? ` ${error.detail}` : ''}\n${action}\n`);
  } else {
    io.err(`Something failed that should not: ${error instanceof Error ? error.stack : String(error)}\n`);
  }
  process.exitCode = 1;
}

import { readFile } from 'node:fs/promises';
import { type Asked, readFlags } from './assess/flags.ts';
import { HELP } from './assess/help.ts';
import { readLog } from './assess/log.ts';
import { Refusal } from './assess/refusal.ts';
import { type Assessment, assessmentOf } from './assess/result.ts';
import { coreSeries, runLog } from './assess/run.ts';
import { setupOf, usualWater } from './assess/setup.ts';
import { textOf } from './assess/words.ts';
import type { CliIo } from './io.ts';

/** The verb `assess`: a temperature log in, what the food has been through out. Gives 0 done, 1 failed, 2 bad input. */
export async function assessVerb(argv: readonly string[], io: CliIo): Promise<number> {
  try {
    const asked = readFlags(argv);
    if (asked === 'help') {
      io.out(HELP);
      return 0;
    }
    const result = assess(await bytesOf(asked.path), asked);
    io.out(asked.json ? `${JSON.stringify(result)}\n` : textOf(result, asked.path));
    return 0;
  } catch (error) {
    if (error instanceof Refusal) {
      for (const line of error.message.split('\n')) io.err(`bathkeeper assess: ${line}\n`);
      return 2;
    }
    io.err(
      `bathkeeper assess: something failed that should not: ${error instanceof Error ? error.stack : String(error)}\n`,
    );
    return 1;
  }
}

/**
 * Assesses the bytes of a log; no files, no clock.
 * @throws Refusal for a log that cannot be read.
 */
export function assess(bytes: Uint8Array, asked: Asked): Assessment {
  const log = readLog(bytes, asked);
  const setup = setupOf(asked, usualWater(log.bathC));
  const series = asked.seriesS === undefined ? null : coreSeries(setup, log, asked.seriesS);
  return assessmentOf(asked, setup, log, runLog(setup, log), series);
}

async function bytesOf(path: string): Promise<Uint8Array> {
  try {
    return await readFile(path);
  } catch (error) {
    const why = error instanceof Error ? error.message : String(error);
    throw new Refusal(`the log "${path}" cannot be read (${why}). Give the path of a CSV file.`);
  }
}

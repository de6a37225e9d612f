import { createInterface } from 'node:readline/promises';
import type { CliIo } from '../io.ts';
import type { Person } from './step-parts.ts';

/** Answers given by flags, so that no prompt is needed. */
export interface Answers {
  readonly ready: boolean;
  readonly heard: boolean | null;
  readonly 'went-off': boolean | null;
  readonly called: boolean | null;
  /** Undefined: not given by a flag. Null: said to be not tried. */
  readonly cutOutC: number | null | undefined;
}

/** A person at the terminal; what a flag has answered is not asked. Without a terminal nothing is asked. */
export function personAt(answers: Answers, io: CliIo, terminal: boolean): Person {
  const ask = async (text: string): Promise<string | null> => {
    if (!terminal) return null;
    const lines = createInterface({ input: process.stdin, output: process.stderr });
    const answer = await lines.question(`${text} `);
    lines.close();
    return answer.trim();
  };
  return {
    async please(text) {
      io.err(`${text}\n`);
      if (!answers.ready) await ask('Enter to go on.');
    },
    async saw(flag, question) {
      const given = answers[flag];
      if (given !== null) return given;
      const answer = await ask(`${question} (y/n)`);
      return answer === null || answer === '' ? null : /^y/i.test(answer);
    },
    async cutOutC() {
      if (answers.cutOutC !== undefined) return answers.cutOutC;
      const answer = await ask(
        'At what temperature (°C) did the cut-out on the element open? Empty: not tried.',
      );
      const celsius = answer ? Number(answer) : Number.NaN;
      return Number.isFinite(celsius) ? celsius : null;
    },
  };
}

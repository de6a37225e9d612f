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
      for (;;) {
        const answer = await ask(`${question} (y/n)`);
        if (answer === null || answer === '') return null;
        if (/^(y|yes|n|no)$/i.test(answer)) return /^y/i.test(answer);
        io.err(`"${answer}": expected y or n, or nothing where it was not tried.\n`);
      }
    },
    async cutOutC() {
      if (answers.cutOutC !== undefined) return answers.cutOutC;
      for (;;) {
        const answer = await ask(
          'At what temperature (°C) did the cut-out on the element open? Empty: not tried.',
        );
        if (answer === null || answer === '') return null;
        const read = cutOutAnswer(answer);
        if (typeof read === 'number') return read;
        io.err(`${read}; empty where it was not tried.\n`);
      }
    },
  };
}

/** No thermometer held to an element in water shows less or more; beyond it a digit was mistyped. */
const CUT_OUT_C = { low: 20, high: 250 } as const;

/** At what temperature a cut-out opened, degrees C, or what is wrong with the answer. */
export function cutOutAnswer(text: string): number | string {
  const celsius = celsiusIn(text);
  if (celsius !== null && celsius >= CUT_OUT_C.low && celsius <= CUT_OUT_C.high) return celsius;
  return `"${text}": expected ${CUT_OUT_C.low} to ${CUT_OUT_C.high} °C as a number, for example 95, or not-tried; read the thermometer again`;
}

/** Degrees C as people type them ("95", "92,5", "95 °C"); null where it is no such number. */
export function celsiusIn(text: string): number | null {
  const number = /^(-?\d+(?:[.,]\d+)?)\s*(?:°?\s*C)?$/i.exec(text.trim())?.[1];
  return number === undefined ? null : Number(number.replace(',', '.'));
}

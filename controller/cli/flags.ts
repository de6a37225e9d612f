import { type Dimension, parseQuantity } from '../../shared/units/quantity.ts';

/** Reads flags into values and gathers what was wrong, so that every fault is told at once. */
export interface FlagReader {
  readonly faults: string[];
  /** A number with its unit, in the unit used inside: mm, C, kg, fraction of one, s. */
  quantity(
    name: string,
    text: string | undefined,
    dimension: Dimension,
    low?: number,
    high?: number,
  ): number | undefined;
  /** A plain number, for flags whose name is their unit. */
  number(name: string, text: string | undefined, low: number, high: number): number | undefined;
  choice<T extends string>(name: string, text: string | undefined, of: readonly T[]): T | undefined;
}

/** A reader with no faults yet. */
export function flagReader(): FlagReader {
  const faults: string[] = [];
  return {
    faults,
    quantity: (name, text, dimension, low = Number.NEGATIVE_INFINITY, high = Number.POSITIVE_INFINITY) => {
      if (text === undefined) return undefined;
      const read = parseQuantity(text, dimension);
      if (!read.ok) faults.push(`--${name} ${read.why}.`);
      else if (!(read.value >= low && read.value <= high)) {
        faults.push(`--${name} "${text}": out of range.`);
      } else return read.value;
      return undefined;
    },
    number: (name, text, low, high) => {
      if (text === undefined) return undefined;
      const value = Number(text);
      if (text.trim() !== '' && value >= low && value <= high) return value;
      faults.push(`--${name} "${text}": expected a number from ${low} to ${high}, without a unit.`);
      return undefined;
    },
    choice: (name, text, of) => {
      if (text === undefined) return undefined;
      const found = of.find((one) => one === text);
      if (found === undefined) faults.push(`--${name} "${text}": expected one of ${of.join(', ')}.`);
      return found;
    },
  };
}

/** The first sentence of what Node says of unknown flags; the rest of its text is advice in terms of its own. */
export function flagFault(error: unknown, verb: string): string {
  const whole = error instanceof Error ? error.message : String(error);
  const option = /^Option '(?:-\w, )?(--[\w-]+)[^']*' argument is ambiguous/.exec(whole)?.[1];
  const why = option
    ? `${option}: a value that begins with a minus is written with "=", as in ${option}=-1`
    : whole.split(/\.?(?:\n|\. |$)/, 1)[0];
  return `bathkeeper ${verb}: ${why}. See: bathkeeper ${verb} --help\n`;
}

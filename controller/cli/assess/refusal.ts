/** Input that cannot be used as it is. The message says what was wrong, what was expected and how to mend it; exit code 2. */
export class Refusal extends Error {}

/** A list that stays readable: the first few, and how many more. */
export function someOf(items: readonly (string | number)[], most = 5): string {
  const shown = items.slice(0, most).join(', ');
  return items.length > most ? `${shown} and ${items.length - most} more` : shown;
}

/** `1 row`, `12 rows`. */
export function counted(count: number, thing: string): string {
  return `${count} ${thing}${count === 1 ? '' : 's'}`;
}

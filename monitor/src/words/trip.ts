/** What a check saw and what it expected, apart; `expected` null where the words do not come in two halves. */
export interface SawExpected {
  readonly saw: string;
  readonly expected: string | null;
}

/** Takes the words of a check apart: "Saw ...; expected ..." */
export function sawExpected(detail: string): SawExpected {
  const halves = detail.match(/^(?:Saw:? )?(.*?)(?:; expected|[.] Expected) (.*)$/s);
  if (!halves) return { saw: detail, expected: null };
  const [, saw = '', expected = ''] = halves;
  return { saw: sentence(saw), expected: sentence(expected) };
}

function sentence(words: string): string {
  const capital = words.charAt(0).toUpperCase() + words.slice(1);
  return /[.!?]$/.test(capital) ? capital : `${capital}.`;
}

/** What a person still has to do about one cause of a trip. */
export function causeWords(cause: { active: boolean; acknowledged: boolean; atBathOnly: boolean }): string {
  const where = cause.atBathOnly ? ' by somebody who stands at the bath' : '';
  if (cause.active)
    return cause.acknowledged
      ? 'still so: mend it; then it can be cleared'
      : 'still so: acknowledge it and mend it; then it can be cleared';
  return cause.acknowledged
    ? `gone: it can be cleared${where}`
    : `gone: acknowledge it; then it can be cleared${where}`;
}

/** A number as typed, comma or point; NaN where it is none. */
export function parseNumber(text: string): number {
  const trimmed = text.trim().replace(',', '.');
  return trimmed === '' ? Number.NaN : Number(trimmed);
}

/** What is wrong with a typed number and what was expected, or null. */
export function numberFault(text: string, min: number, max: number, unitText: string): string | null {
  const value = parseNumber(text);
  if (Number.isFinite(value) && value >= min && value <= max) return null;
  if (text.trim() === '') return `Still empty: ${min} to ${max} ${unitText}.`;
  return `“${text}” will not do: a number from ${min} to ${max} ${unitText} is expected.`;
}

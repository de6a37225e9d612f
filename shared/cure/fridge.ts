/** Where meat may lie while it cures. */
export interface FridgeVerdict {
  readonly ok: boolean;
  readonly words: string;
  readonly source: string;
}

/** Coldest for even curing, warmest for curing, and the code's limit for cold holding, C. */
export const FRIDGE_LIMITS = {
  coldestC: 20 / 9,
  warmestC: 40 / 9,
  codeMaxC: 5,
  source: 'USDA: curing meat below 40 F (4.4 C), while salt evens out not below 36 F (2.2 C)',
  codeSource: 'FDA Food Code 3-501.16: 41 F (5 C)',
} as const;

/** Whether a fridge at this temperature will do for a cure. @throws RangeError for what is no temperature */
export function fridgeVerdict(celsius: number): FridgeVerdict {
  const { coldestC, warmestC, codeMaxC, source, codeSource } = FRIDGE_LIMITS;
  if (!Number.isFinite(celsius)) throw new RangeError(`the fridge is at ${celsius} C; expected a number.`);
  const at = `${celsius.toFixed(1)} C`;
  if (celsius > codeMaxC) {
    const words = `A fridge at ${at} is too warm for raw meat: ${codeMaxC} C at most, 4.4 C for a cure. Do not cure in it.`;
    return { ok: false, words, source: codeSource };
  }
  if (celsius > warmestC) {
    return {
      ok: true,
      words: `A fridge at ${at} is within the code but warm for a cure: 2.2 to 4.4 C is right. Turn it colder.`,
      source,
    };
  }
  if (celsius < coldestC) {
    return {
      ok: true,
      words: `A fridge at ${at} is safe, but salt hardly moves and meat may freeze: 2.2 to 4.4 C is right.`,
      source,
    };
  }
  return { ok: true, words: `A fridge at ${at} is right: 2.2 to 4.4 C.`, source };
}

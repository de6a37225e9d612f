/** What the model says of the core, from the case heated least to the one heated most, C. */
export interface ModelledCore {
  leastC: number;
  middleC: number;
  mostC: number;
}

/** Who looked for the cold spot with the probe, and how; without it a probe can only lower the credit. */
export interface ColdSpotRecord {
  by: string;
  /** How the spot was found, e.g. "lowest of three places". */
  how: string;
  /** When, seconds on the cook's clock. */
  atS: number;
}

export interface CoreReading {
  /** null where there is no fresh valid reading. */
  celsius: number | null;
  /** Largest error of the probe either way, K. */
  errorC: number;
  coldSpot: ColdSpotRecord | null;
}

export type CoreFlag = 'hotter-than-meat-can-be' | 'colder-than-meat-can-be' | 'below-worst-case';

export interface CreditedCore {
  /** Core to credit heating by, C. */
  celsius: number;
  from: 'model' | 'probe';
  flags: readonly CoreFlag[];
}

/** Allowance before a probe is said not to be in the meat: what the envelope leaves out, K. */
const allowanceC = 1;

/**
 * The core temperature that may be credited with heating. A reading, less its error, lowers the modelled
 * worst case at once. It raises it only where the cold spot was confirmed and recorded, and the reading is
 * one that meat can have; a probe that reads hotter than the fastest case (it touches water, bag or the
 * bath's heat) or colder than the slowest case could ever be is flagged.
 * @param coldestC the coldest that food or water has been in this cook, C.
 */
export function creditedCore(model: ModelledCore, reading: CoreReading, coldestC: number): CreditedCore {
  const { celsius, errorC, coldSpot } = reading;
  if (celsius === null || !Number.isFinite(celsius))
    return { celsius: model.leastC, from: 'model', flags: [] };
  const flags: CoreFlag[] = [];
  const sure = celsius - errorC;
  if (sure > model.mostC + allowanceC) flags.push('hotter-than-meat-can-be');
  if (celsius + errorC < coldestC - allowanceC) flags.push('colder-than-meat-can-be');
  if (celsius + errorC < model.leastC) flags.push('below-worst-case');
  if (sure < model.leastC) return { celsius: sure, from: 'probe', flags };
  if (coldSpot !== null && flags.length === 0) return { celsius: sure, from: 'probe', flags };
  return { celsius: model.leastC, from: 'model', flags };
}

/** False where a reading is one that meat cannot have: the probe is not in it, or is wrong. */
export function heardInMeat(flags: readonly CoreFlag[]): boolean {
  return !flags.includes('hotter-than-meat-can-be') && !flags.includes('colder-than-meat-can-be');
}

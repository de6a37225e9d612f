/** Spices and herbs as a percent of the meat's weight, so that a dish can be made again. */
export interface Aromatic {
  readonly id: string;
  readonly name: string;
  /** Mild and strong, percent of the raw weight. */
  readonly lowPercent: number;
  readonly highPercent: number;
  /** What must be said with it; empty where nothing. */
  readonly caution: string;
}

/** Shares as kitchens use them: common practice, no source. */
const AROMATICS_SOURCE = 'common practice, no source';

/** The aromatics known here. */
export const AROMATICS: readonly Aromatic[] = [
  { id: 'black-pepper', name: 'black pepper, cracked', lowPercent: 0.2, highPercent: 0.5, caution: '' },
  { id: 'thyme', name: 'thyme, dried', lowPercent: 0.05, highPercent: 0.15, caution: '' },
  { id: 'rosemary', name: 'rosemary, dried', lowPercent: 0.05, highPercent: 0.15, caution: '' },
  {
    id: 'bay',
    name: 'bay leaf',
    lowPercent: 0.02,
    highPercent: 0.06,
    caution: 'Turns bitter in a long cook: the lower end.',
  },
  { id: 'juniper', name: 'juniper, crushed', lowPercent: 0.1, highPercent: 0.3, caution: '' },
  { id: 'cumin', name: 'cumin', lowPercent: 0.1, highPercent: 0.3, caution: '' },
  { id: 'coriander-seed', name: 'coriander seed', lowPercent: 0.2, highPercent: 0.4, caution: '' },
  { id: 'sweet-pepper', name: 'ground sweet pepper', lowPercent: 0.3, highPercent: 0.8, caution: '' },
  { id: 'chilli', name: 'chilli, dried', lowPercent: 0.03, highPercent: 0.15, caution: '' },
  {
    id: 'garlic-powder',
    name: 'garlic, dried',
    lowPercent: 0.1,
    highPercent: 0.3,
    caution:
      'Dried, never raw: raw garlic in a sealed bag can carry C. botulinum, and tastes harsh below boiling.',
  },
  { id: 'orange-peel', name: 'orange peel, dried', lowPercent: 0.1, highPercent: 0.3, caution: '' },
];

/** The aromatic of that id. @throws RangeError that lists them */
export function aromatic(id: string): Aromatic {
  const found = AROMATICS.find((a) => a.id === id);
  if (found) return found;
  throw new RangeError(
    `aromatic "${id}" is not known; expected one of ${AROMATICS.map((a) => a.id).join(', ')}.`,
  );
}

/** An aromatic weighed out. */
export interface AromaticWeight {
  readonly id: string;
  readonly name: string;
  readonly percent: number;
  readonly grams: number;
  readonly caution: string;
  readonly source: string;
}

/**
 * Grams of an aromatic for a weight of meat at a percent of it (its middle where none is given).
 * @throws RangeError for an unknown one, or a percent outside 0 to 5
 */
export function aromaticG(id: string, meatKg: number, percent?: number): AromaticWeight {
  const one = aromatic(id);
  const share = percent ?? (one.lowPercent + one.highPercent) / 2;
  if (!(share >= 0 && share <= 5)) {
    throw new RangeError(`${one.name} at ${share} %; expected 0 to 5 % of the meat's weight.`);
  }
  const { name, caution } = one;
  return { id, name, percent: share, grams: meatKg * 10 * share, caution, source: AROMATICS_SOURCE };
}

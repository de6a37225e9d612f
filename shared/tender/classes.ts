/** What is believed of a class of cuts before any cook here: a log-normal spread of the time to fork-tender at 70 C. */
export interface TenderClass {
  readonly id: string;
  readonly name: string;
  /** Median hours at 70 C to fork-tender. */
  readonly medianHours: number;
  /** Standard deviation of ln(hours): how unsure the class's own middle is. */
  readonly sigmaClass: number;
  /** Standard deviation of ln(hours) between one piece and the next of the same class. */
  readonly sigmaPiece: number;
  readonly source: string;
}

/** Priors of every class; a kitchen's own fork tests move them. */
export const TENDER_CLASSES: readonly TenderClass[] = [
  {
    id: 'pork_shoulder_neck',
    name: 'pork shoulder and neck',
    medianHours: 18,
    sigmaClass: 0.45,
    sigmaPiece: 0.25,
    source:
      'pork shoulder pieces: 16 h at 70 C to full tenderness and, by a second report, 36 h at 71 C to shreds (secondary sources)',
  },
  {
    id: 'pork_cheek',
    name: 'pork cheek',
    medianHours: 20,
    sigmaClass: 0.45,
    sigmaPiece: 0.25,
    source:
      'Sanchez del Pulgar, Gazquez & Ruiz-Carrascal 2012, Meat Science 90:828: softer at 12 h but not at 5 h at 80 C, so (12.8, 30.8] h at 70 C',
  },
  {
    id: 'beef_chuck_short_rib_brisket',
    name: 'beef chuck, short rib, brisket',
    medianHours: 22,
    sigmaClass: 0.5,
    sigmaPiece: 0.25,
    source:
      'Kerth, Wall & Grayson-Holter (brisket): a 3 h hold at 85 C, about 12 to 20 h at 70 C; Bouton & Harris 1981: 24 to 48 h at 60 C for old animals; kitchen practice from memory',
  },
  {
    id: 'beef_shin_cheek_oxtail',
    name: 'beef shin, cheek, oxtail',
    medianHours: 26,
    sigmaClass: 0.55,
    sigmaPiece: 0.25,
    source: 'kitchen practice, from memory',
  },
  {
    id: 'lamb_shoulder_shank',
    name: 'lamb shoulder and shank',
    medianHours: 14,
    sigmaClass: 0.45,
    sigmaPiece: 0.25,
    source: 'Udomvarapant 2006 (Kansas State thesis): 2 h at 90 C, about 12 h at 70 C',
  },
  {
    id: 'duck_leg',
    name: 'duck leg',
    medianHours: 16,
    sigmaClass: 0.5,
    sigmaPiece: 0.25,
    source: 'kitchen practice of 8 to 12 h near 76 to 80 C, from memory',
  },
  {
    id: 'turkey_goose_leg',
    name: 'turkey and goose leg',
    medianHours: 16,
    sigmaClass: 0.5,
    sigmaPiece: 0.25,
    source: 'from memory',
  },
  {
    id: 'chicken_leg_thigh',
    name: 'chicken leg and thigh',
    medianHours: 11,
    sigmaClass: 0.65,
    sigmaPiece: 0.25,
    source:
      'dark poultry legs not ready at 8 h and ready at 10 h in a bath of 165 F, so (11.6, 14.5] h at 70 C (common practice, no source); taken earlier and wider because chickens are killed young: see the README for the figures of other endpoints',
  },
  {
    id: 'old_hen_rabbit_game',
    name: 'old hen, rabbit, game',
    medianHours: 16,
    sigmaClass: 0.6,
    sigmaPiece: 0.25,
    source: 'from memory',
  },
  {
    id: 'unknown_tough_cut',
    name: 'a tough cut not listed',
    medianHours: 16,
    sigmaClass: 0.7,
    sigmaPiece: 0.25,
    source: 'a wide default',
  },
];

/**
 * The class of that id.
 * Throws a RangeError naming those known when there is none.
 */
export function tenderClass(id: string): TenderClass {
  const found = TENDER_CLASSES.find((c) => c.id === id);
  if (found) return found;
  throw new RangeError(
    `No tenderness class "${id}"; known are ${TENDER_CLASSES.map((c) => c.id).join(', ')}.`,
  );
}

/** What the cook wants of the dish; chosen once, because it moves the time more than any temperature error. */
export type Endpoint = 'sliceable' | 'fork-tender' | 'shreds';

/**
 * Time to each endpoint as a multiple of fork-tender. Judgement, from memory; only the step to shreds has support:
 * two pork shoulder reports differ by 2.5 in time at the same heat, one to tender and one to shreds.
 */
export const ENDPOINT_FACTOR: Readonly<Record<Endpoint, number>> = {
  sliceable: 0.5,
  'fork-tender': 1,
  shreds: 2,
};

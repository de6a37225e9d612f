import type { Composition } from './composition.ts';
import type { Shape } from './shape.ts';

export type Species =
  | 'beef'
  | 'veal'
  | 'pork'
  | 'lamb'
  | 'goat'
  | 'chicken'
  | 'turkey'
  | 'duck'
  | 'goose'
  | 'rabbit'
  | 'venison'
  | 'wild-boar'
  | 'fish'
  | 'vegetable';

export type Family = 'red-meat' | 'poultry' | 'game' | 'fish' | 'vegetable';

/** Key of the class whose time to tender is learned together; see the tenderness priors. */
export type TendernessClass =
  | 'pork_shoulder_neck'
  | 'pork_cheek'
  | 'beef_chuck_short_rib_brisket'
  | 'beef_shin_cheek_oxtail'
  | 'lamb_shoulder_shank'
  | 'duck_leg'
  | 'turkey_goose_leg'
  | 'chicken_leg_thigh'
  | 'old_hen_rabbit_game'
  | 'unknown_tough_cut';

/**
 * Which lethality standards speak of the food; where several are named, the longest time of them applies.
 * Poultry other than chicken and turkey takes the longer of both tables (FSIS 2021), rabbit likewise;
 * 'wild-game' is Food Code 3-401.11(A)(3); 'fish' is the FDA fish hazards guide, which is also used for
 * vegetables kept after cooking.
 */
export type LethalityFood = 'fsis-red-meat' | 'fsis-chicken' | 'fsis-turkey' | 'fish' | 'wild-game';

/** What a cut is, what it is made of and which rules speak of it. */
export interface Cut {
  /** Kebab-case, stable. */
  readonly id: string;
  readonly name: string;
  readonly species: Species;
  readonly family: Family;
  /** Mass fractions of the part that is eaten, without bone. */
  readonly composition: Composition;
  /** Fat differs by this mass fraction either way between animals and trims (about 95 %). */
  readonly fatSpread: number;
  /** Where the composition is from, with the entry's number or name there. */
  readonly source: string;
  /** Shape and thickness as it lies in the bag where nobody measured (common practice, no source). */
  readonly typicalShape: Shape;
  readonly typicalThicknessMm: number;
  /** null: tender enough that time is not the question, or judged by texture alone. */
  readonly tendernessClass: TendernessClass | null;
  readonly lethalityFoods: readonly LethalityFood[];
  readonly fatPercent: number;
  readonly boneIn: boolean;
  readonly ground: boolean;
  /** What a cook should know; empty where there is nothing. */
  readonly notes: string;
}

/** What bone in the piece changes; shown with every cut that has it. */
export const boneInNote =
  'Thickness is measured with the bone. Bone stores less heat than meat but lets less through, and the slowest point lies ' +
  'beside it: the spread of the diffusivity is wider. Sharp ends pierce bags: wrap them.';

/** What grinding changes; shown with every cut that is ground. */
export const groundNote =
  'Bacteria of the surface are all through ground meat: every part must reach its time, the stricter column of the table ' +
  'applies, and nothing may be eaten half done.';

/** The rest of a record, for foods of one kind. */
export interface Kind {
  readonly species: Species;
  readonly family: Family;
  readonly lethalityFoods: readonly LethalityFood[];
}

/** One row of the data files: percentages as the source prints them. */
export interface Row {
  readonly id: string;
  readonly name: string;
  /** water, protein, fat, ash, and carbohydrate where there is any: percent by mass. */
  readonly percent: readonly [
    water: number,
    protein: number,
    fat: number,
    ash: number,
    carbohydrate?: number,
  ];
  readonly fatSpreadPercent: number;
  readonly source: string;
  readonly shape: Shape;
  readonly mm: number;
  readonly tender: TendernessClass | null;
  readonly boneIn?: true;
  readonly ground?: true;
  readonly notes?: string;
}

/** Completes a row to a cut. */
export function cutOf(kind: Kind, row: Row): Cut {
  const [water, protein, fat, ash, carbohydrate = 0] = row.percent;
  const part = (percent: number): number => percent / 100;
  return {
    id: row.id,
    name: row.name,
    ...kind,
    composition: {
      water: part(water),
      protein: part(protein),
      fat: part(fat),
      carbohydrate: part(carbohydrate),
      ash: part(ash),
    },
    fatSpread: part(row.fatSpreadPercent),
    source: row.source,
    typicalShape: row.shape,
    typicalThicknessMm: row.mm,
    tendernessClass: row.tender,
    fatPercent: fat,
    boneIn: row.boneIn ?? false,
    ground: row.ground ?? false,
    notes: row.notes ?? '',
  };
}

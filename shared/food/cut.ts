import type { Composition } from './composition.ts';
import type { Shape } from './shape.ts';

export type Species =
  | 'beef'
  | 'veal'
  | 'pork'
  | 'lamb'
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
 * Which lethality standards speak of the food. Where several are named the longest time of them applies:
 * poultry other than chicken and turkey takes the longer of both tables (FSIS 2021), wild game is judged by
 * Food Code 3-401.11(A)(3) as well, and 'none' (vegetables) has no pasteurisation standard here.
 */
export type LethalityFood = 'fsis-red-meat' | 'fsis-chicken' | 'fsis-turkey' | 'fish' | 'wild-game' | 'none';

/** What a cut is, what it is made of and which rules speak of it. */
export interface Cut {
  /** Kebab-case, stable. */
  readonly id: string;
  readonly name: string;
  readonly species: Species;
  readonly family: Family;
  /** Mass fractions of the part that is eaten. */
  readonly composition: Composition;
  /** Spread of the fat fraction between animals and trims (about 95 %), as absolute mass fraction either way. */
  readonly fatSpread: number;
  /** Where the composition is from, with the entry's number or name there. */
  readonly source: string;
  readonly typicalShape: Shape;
  readonly typicalThicknessMm: number;
  /** null: tender enough that time is not the question. */
  readonly tendernessClass: TendernessClass | null;
  readonly lethalityFoods: readonly LethalityFood[];
  readonly fatPercent: number;
  readonly boneIn: boolean;
  readonly ground: boolean;
  /** What a cook should know; empty where there is nothing. */
  readonly notes: string;
}

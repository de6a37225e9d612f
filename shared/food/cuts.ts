import type { Cut } from './cut.ts';
import { usualBrick } from './shape.ts';

export type { Cut, Family, LethalityFood, Species, TendernessClass } from './cut.ts';

const c = (water: number, protein: number, fat: number, ash: number) => ({
  water,
  protein,
  fat,
  carbohydrate: 0,
  ash,
});
const base = {
  typicalShape: usualBrick,
  boneIn: false,
  ground: false,
  notes: '',
  source: 'provisional',
} as const;

export const cuts: readonly Cut[] = [
  {
    ...base,
    id: 'lamb-shoulder',
    name: 'Lamb shoulder, boned',
    species: 'lamb',
    family: 'red-meat',
    composition: c(0.61, 0.168, 0.214, 0.009),
    fatSpread: 0.07,
    typicalThicknessMm: 60,
    tendernessClass: 'lamb_shoulder_shank',
    lethalityFoods: ['fsis-red-meat'],
    fatPercent: 21,
  },
  {
    ...base,
    id: 'pork-neck',
    name: 'Pork neck',
    species: 'pork',
    family: 'red-meat',
    composition: c(0.652, 0.17, 0.167, 0.009),
    fatSpread: 0.06,
    typicalThicknessMm: 70,
    tendernessClass: 'pork_shoulder_neck',
    lethalityFoods: ['fsis-red-meat'],
    fatPercent: 17,
  },
  {
    ...base,
    id: 'pork-shoulder',
    name: 'Pork shoulder',
    species: 'pork',
    family: 'red-meat',
    composition: c(0.648, 0.172, 0.18, 0.009),
    fatSpread: 0.06,
    typicalThicknessMm: 70,
    tendernessClass: 'pork_shoulder_neck',
    lethalityFoods: ['fsis-red-meat'],
    fatPercent: 18,
  },
  {
    ...base,
    id: 'beef-chuck',
    name: 'Beef chuck',
    species: 'beef',
    family: 'red-meat',
    composition: c(0.66, 0.19, 0.14, 0.009),
    fatSpread: 0.06,
    typicalThicknessMm: 60,
    tendernessClass: 'beef_chuck_short_rib_brisket',
    lethalityFoods: ['fsis-red-meat'],
    fatPercent: 14,
  },
  {
    ...base,
    id: 'chicken-leg',
    name: 'Chicken leg',
    species: 'chicken',
    family: 'poultry',
    composition: c(0.76, 0.201, 0.043, 0.0094),
    fatSpread: 0.03,
    typicalThicknessMm: 40,
    tendernessClass: 'chicken_leg_thigh',
    lethalityFoods: ['fsis-chicken'],
    fatPercent: 4.3,
    boneIn: true,
  },
  {
    ...base,
    id: 'duck-leg',
    name: 'Duck leg',
    species: 'duck',
    family: 'poultry',
    composition: c(0.6, 0.15, 0.24, 0.009),
    fatSpread: 0.1,
    typicalThicknessMm: 45,
    tendernessClass: 'duck_leg',
    lethalityFoods: ['fsis-chicken', 'fsis-turkey'],
    fatPercent: 24,
    boneIn: true,
  },
];

const byId = new Map(cuts.map((cut) => [cut.id, cut]));

/** The cut of that id, or undefined where there is none. */
export function cutById(id: string): Cut | undefined {
  return byId.get(id);
}

import { cutOf, type Kind, type Row } from './cut.ts';
import { usualBrick, usualCylinder } from './shape.ts';

// Poultry rows are of the USDA's proximate composition of raw poultry, table 1 (light and dark meat, with and
// without skin). SR is the USDA National Nutrient Database for Standard Reference. All seen in public copies.
const slab = { kind: 'slab' } as const;
const usda = 'USDA proximate composition of raw poultry, table 1';

const chicken: Kind = { species: 'chicken', family: 'poultry', lethalityFoods: ['fsis-chicken'] };
const turkey: Kind = { species: 'turkey', family: 'poultry', lethalityFoods: ['fsis-turkey'] };
const both = ['fsis-chicken', 'fsis-turkey'] as const;
const duck: Kind = { species: 'duck', family: 'poultry', lethalityFoods: both };
const goose: Kind = { species: 'goose', family: 'poultry', lethalityFoods: both };
const rabbit: Kind = { species: 'rabbit', family: 'game', lethalityFoods: both };
const wildRabbit: Kind = { species: 'rabbit', family: 'game', lethalityFoods: [...both, 'wild-game'] };
const venison: Kind = { species: 'venison', family: 'game', lethalityFoods: ['fsis-red-meat', 'wild-game'] };
const boar: Kind = { species: 'wild-boar', family: 'game', lethalityFoods: ['fsis-red-meat', 'wild-game'] };
const wild = 'Food Code 3-401.11(A)(3) asks 74 C at once of wild game animals.';
const farmedToo = `${wild} Farmed deer counts as meat.`;
const boarNote = `${wild} It may carry Trichinella: never below that.`;

const chickenRows: readonly Row[] = [
  {
    id: 'chicken-leg',
    name: 'Chicken leg',
    percent: [70.7, 18.4, 11.3, 0.85],
    fatSpreadPercent: 7,
    source: `${usda}: mean of chicken dark with and without skin`,
    shape: usualCylinder,
    mm: 45,
    tender: 'chicken_leg_thigh',
    boneIn: true,
  },
  {
    id: 'chicken-thigh',
    name: 'Chicken thigh, boned, no skin',
    percent: [76.0, 20.1, 4.3, 0.94],
    fatSpreadPercent: 3,
    source: `${usda}: chicken dark, no skin`,
    shape: slab,
    mm: 25,
    tender: 'chicken_leg_thigh',
  },
  {
    id: 'chicken-breast',
    name: 'Chicken breast, no skin',
    percent: [74.9, 23.2, 1.6, 0.98],
    fatSpreadPercent: 1.5,
    source: `${usda}: chicken light, no skin`,
    shape: { kind: 'brick', width: 2, length: 4 },
    mm: 30,
    tender: null,
  },
  {
    id: 'hen-leg',
    name: 'Leg of an old hen',
    percent: [70.7, 18.4, 11.3, 0.85],
    fatSpreadPercent: 8,
    source: `${usda}: mean of chicken dark with and without skin`,
    shape: usualCylinder,
    mm: 50,
    tender: 'old_hen_rabbit_game',
    boneIn: true,
  },
  {
    id: 'chicken-ground',
    name: 'Chicken, ground',
    percent: [75.5, 21.6, 2.95, 0.96],
    fatSpreadPercent: 5,
    source: `${usda}: mean of chicken light and dark, no skin`,
    shape: slab,
    mm: 25,
    tender: null,
    ground: true,
  },
];

const turkeyRows: readonly Row[] = [
  {
    id: 'turkey-leg',
    name: 'Turkey leg',
    percent: [71.1, 18.9, 8.8, 0.86],
    fatSpreadPercent: 4.5,
    source: `${usda}: turkey dark, with skin`,
    shape: usualCylinder,
    mm: 80,
    tender: 'turkey_goose_leg',
    boneIn: true,
  },
  {
    id: 'turkey-thigh',
    name: 'Turkey thigh, boned, no skin',
    percent: [74.5, 20.1, 4.4, 0.93],
    fatSpreadPercent: 3,
    source: `${usda}: turkey dark, no skin`,
    shape: usualBrick,
    mm: 45,
    tender: 'turkey_goose_leg',
  },
  {
    id: 'turkey-breast',
    name: 'Turkey breast, no skin',
    percent: [73.8, 23.6, 1.6, 1.0],
    fatSpreadPercent: 1.5,
    source: `${usda}: turkey light, no skin`,
    shape: usualBrick,
    mm: 70,
    tender: null,
  },
  {
    id: 'turkey-ground',
    name: 'Turkey, ground',
    percent: [70.4, 20.42, 8.02, 0.88],
    fatSpreadPercent: 5,
    source: 'ASHRAE Refrigeration ch. 9 table 3 (turkey)',
    shape: slab,
    mm: 25,
    tender: null,
    ground: true,
  },
];

const waterfowl: readonly (readonly [Kind, Row])[] = [
  [
    duck,
    {
      id: 'duck-leg',
      name: 'Duck leg',
      percent: [61.2, 14.9, 22.7, 0.87],
      fatSpreadPercent: 16,
      source: `${usda}: mean of duck with and without skin`,
      shape: usualCylinder,
      mm: 45,
      tender: 'duck_leg',
      boneIn: true,
    },
  ],
  [
    duck,
    {
      id: 'duck-breast',
      name: 'Duck breast, skin on',
      percent: [61.2, 14.9, 22.7, 0.87],
      fatSpreadPercent: 14,
      source: `${usda}: mean of duck with and without skin`,
      shape: slab,
      mm: 30,
      tender: null,
    },
  ],
  [
    goose,
    {
      id: 'goose-leg',
      name: 'Goose leg',
      percent: [59.0, 19.35, 20.35, 0.99],
      fatSpreadPercent: 13,
      source: `${usda}: mean of goose with and without skin`,
      shape: usualCylinder,
      mm: 65,
      tender: 'turkey_goose_leg',
      boneIn: true,
    },
  ],
];

const gameRows: readonly (readonly [Kind, Row])[] = [
  [
    rabbit,
    {
      id: 'rabbit-leg',
      name: 'Rabbit leg',
      percent: [72.82, 20.05, 5.55, 0.72],
      fatSpreadPercent: 3,
      source: 'USDA SR 17177 (rabbit, domesticated)',
      shape: usualCylinder,
      mm: 40,
      tender: 'old_hen_rabbit_game',
      boneIn: true,
    },
  ],
  [
    wildRabbit,
    {
      id: 'wild-rabbit-leg',
      name: 'Wild rabbit leg',
      percent: [74.51, 21.79, 2.32, 1.12],
      fatSpreadPercent: 2,
      source: 'USDA SR 17180 (rabbit, wild)',
      shape: usualCylinder,
      mm: 35,
      tender: 'old_hen_rabbit_game',
      boneIn: true,
      notes: wild,
    },
  ],
  [
    venison,
    {
      id: 'venison-shoulder',
      name: 'Venison shoulder, boned',
      percent: [73.57, 22.96, 2.42, 1.16],
      fatSpreadPercent: 2,
      source: 'USDA SR 17164 (deer)',
      shape: usualBrick,
      mm: 60,
      tender: 'old_hen_rabbit_game',
      notes: farmedToo,
    },
  ],
  [
    venison,
    {
      id: 'venison-shank',
      name: 'Venison shank',
      percent: [73.57, 22.96, 2.42, 1.16],
      fatSpreadPercent: 2,
      source: 'USDA SR 17164 (deer)',
      shape: usualCylinder,
      mm: 60,
      tender: 'old_hen_rabbit_game',
      boneIn: true,
      notes: farmedToo,
    },
  ],
  [
    venison,
    {
      id: 'venison-haunch',
      name: 'Venison haunch, boned',
      percent: [73.57, 22.96, 2.42, 1.16],
      fatSpreadPercent: 2,
      source: 'USDA SR 17164 (deer)',
      shape: usualBrick,
      mm: 70,
      tender: 'old_hen_rabbit_game',
      notes: farmedToo,
    },
  ],
  [
    boar,
    {
      id: 'wild-boar-shoulder',
      name: 'Wild boar shoulder',
      percent: [72.54, 21.51, 3.33, 0.97],
      fatSpreadPercent: 3,
      source: 'USDA SR 17158 (boar, wild)',
      shape: usualBrick,
      mm: 65,
      tender: 'old_hen_rabbit_game',
      notes: boarNote,
    },
  ],
];

/** Cuts of poultry and game. */
export const poultryAndGame = [
  ...chickenRows.map((row) => cutOf(chicken, row)),
  ...turkeyRows.map((row) => cutOf(turkey, row)),
  ...[...waterfowl, ...gameRows].map(([kind, row]) => cutOf(kind, row)),
];

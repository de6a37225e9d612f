import { cutOf, type Kind, type Row } from './cut.ts';

const slab = { kind: 'slab' } as const;
const ashrae = 'ASHRAE Refrigeration ch. 9 table 3';
const fish: Kind = { species: 'fish', family: 'fish', lethalityFoods: ['fish'] };
const vegetable: Kind = { species: 'vegetable', family: 'vegetable', lethalityFoods: ['fish'] };
const pectin =
  'Judged by texture only: plant tissue softens above about 84 C, which meat for sliced serving never sees ' +
  '(common practice, no source). What is kept after the cook still needs its chilling.';
const fatty = 'Fatty fish: harmful bacteria die more slowly in it than in lean fish.';

const fishRows: readonly Row[] = [
  {
    id: 'cod-loin',
    name: 'Cod loin',
    percent: [81.22, 17.81, 0.67, 1.16],
    fatSpreadPercent: 0.5,
    source: `${ashrae} (cod)`,
    shape: slab,
    mm: 30,
    tender: null,
  },
  {
    id: 'halibut-fillet',
    name: 'Halibut fillet',
    percent: [77.92, 20.81, 2.29, 1.36],
    fatSpreadPercent: 2,
    source: 'USDA SR 15036 (halibut), from memory',
    shape: slab,
    mm: 30,
    tender: null,
  },
  {
    id: 'tuna-loin',
    name: 'Tuna loin',
    percent: [68.09, 23.33, 4.9, 1.18],
    fatSpreadPercent: 4,
    source: `${ashrae} (tuna, bluefin)`,
    shape: slab,
    mm: 30,
    tender: null,
  },
  {
    id: 'salmon-fillet',
    name: 'Salmon fillet, farmed',
    percent: [64.89, 20.42, 13.42, 1.13],
    fatSpreadPercent: 5,
    source: 'USDA SR 15236 (salmon, Atlantic, farmed), from memory',
    shape: slab,
    mm: 30,
    tender: null,
    notes: fatty,
  },
  {
    id: 'salmon-fillet-wild',
    name: 'Salmon fillet, wild',
    percent: [76.35, 19.94, 3.45, 1.22],
    fatSpreadPercent: 3,
    source: `${ashrae} (salmon, pink)`,
    shape: slab,
    mm: 25,
    tender: null,
  },
  {
    id: 'trout-fillet',
    name: 'Trout fillet',
    percent: [71.42, 20.77, 6.61, 1.17],
    fatSpreadPercent: 4,
    source: 'USDA SR 15114 (trout, mixed species), from memory',
    shape: slab,
    mm: 20,
    tender: null,
    notes: fatty,
  },
  {
    id: 'mackerel-fillet',
    name: 'Mackerel fillet',
    percent: [63.55, 18.6, 13.89, 1.35],
    fatSpreadPercent: 8,
    source: `${ashrae} (mackerel, Atlantic)`,
    shape: slab,
    mm: 20,
    tender: null,
    notes: `${fatty} Histamine formed before the cook is not destroyed by it.`,
  },
];

const root = (id: string, name: string, percent: Row['percent'], entry: string): Row => ({
  id,
  name,
  percent,
  fatSpreadPercent: 0.1,
  source: `USDA SR ${entry}, from memory`,
  shape: slab,
  mm: 25,
  tender: null,
  notes: pectin,
});

const vegetableRows: readonly Row[] = [
  root('carrot', 'Carrot', [88.29, 0.93, 0.24, 0.97, 9.58], '11124 (carrots)'),
  root('potato', 'Potato', [79.25, 2.05, 0.09, 1.11, 17.49], '11352 (potatoes)'),
  root('beetroot', 'Beetroot', [87.58, 1.61, 0.17, 1.08, 9.56], '11080 (beets)'),
  root('celeriac', 'Celeriac', [88, 1.5, 0.3, 1.0, 9.2], '11141 (celeriac)'),
  root('parsnip', 'Parsnip', [79.53, 1.2, 0.3, 0.98, 17.99], '11298 (parsnips)'),
];

/** Fish, and vegetables (by texture only). */
export const fishAndVegetable = [
  ...fishRows.map((row) => cutOf(fish, row)),
  ...vegetableRows.map((row) => cutOf(vegetable, row)),
];

import { fToC } from '../../units/temperature.ts';
import type { DzStandard } from './types.ts';

const SEEN = 'seen in a public copy or recomputed';
const AMIF = 'as listed by the American Meat Institute Foundation (2010), table of D and z values';

interface DzRecord {
  readonly id: string;
  readonly organism: string;
  readonly food: string;
  readonly targetLog10: number | null;
  readonly rangeC: readonly [number, number];
  readonly refC: number;
  readonly dMin: number;
  readonly zC: number;
  readonly source: string;
  readonly note?: string;
}

const dz = (r: DzRecord): DzStandard => ({
  kind: 'dz',
  id: r.id,
  name: `${r.organism}, ${r.food} (D and z)`,
  edition: r.source.match(/\d{4}/)?.[0] ?? '',
  organism: r.organism,
  food: r.food,
  targetLog10: r.targetLog10,
  rangeC: r.rangeC,
  dRefS: r.dMin * 60,
  refC: r.refC,
  zC: r.zC,
  source: r.source,
  confirmed: SEEN,
  ...(r.note === undefined ? {} : { note: r.note }),
});

const STEC = 'E. coli O157:H7';
const LISTERIA = 'Listeria monocytogenes';
const PERFRINGENS = 'C. perfringens (vegetative cells)';
const FIVE_LOG =
  '5 log is the reduction FSIS asks for Shiga-toxin E. coli in beef; used here for every food.';
const SIX_LOG = '6 log is the reduction of the FDA fish hazards guide; no figure is published for this food.';
const CELLS_ONLY =
  'Living cells only: spores survive every cook in a water bath. No target is published; shown as a number.';
const RANGE_MEMORY = 'The range of temperatures tested is from memory.';

/** Published D and z by organism and food; D at `refC` in minutes as printed, z in C. */
export const DZ: readonly DzStandard[] = [
  dz({
    id: 'salmonella-meat-patty',
    organism: 'Salmonella',
    food: 'meat patty',
    targetLog10: 6.5,
    rangeC: [fToC(130), fToC(158)],
    refC: fToC(150),
    dMin: 0.172,
    zC: 10 / 1.8,
    source: `Scott & Weddig 1998, ${AMIF}`,
    note: 'Makes the 6.5 log column of FSIS Appendix A to within its rounding; range taken from that table.',
  }),
  dz({
    id: 'salmonella-ground-beef-25fat',
    organism: 'Salmonella',
    food: 'ground beef, 25 % fat',
    targetLog10: 6.5,
    rangeC: [58, 65],
    refC: 60,
    dMin: 4.72,
    zC: 14.5 / 1.8,
    source: `Juneja 2003, ${AMIF}`,
    note: `Far slower than the FSIS table above 60 C. ${RANGE_MEMORY}`,
  }),
  dz({
    id: 'salmonella-chicken-thigh',
    organism: 'Salmonella',
    food: 'chicken thigh and leg meat',
    targetLog10: 7,
    rangeC: [55, 70],
    refC: 55,
    dMin: 43.33,
    zC: 5.34,
    source: 'Murphy et al. 2004, Poultry Science 83:1218-1225',
    note: 'Printed D at 70 C is 0.07 min; this line gives 0.067.',
  }),
  dz({
    id: 'ecoli-beef-90lean',
    organism: STEC,
    food: 'ground beef, 90 % lean',
    targetLog10: 5,
    rangeC: [55, 65],
    refC: 60,
    dMin: 2.606,
    zC: 5.96,
    source:
      'Juneja, Snyder & Marmer 1997, Int J Food Microbiol 35:231-237; least-squares line through its five points',
    note: `Stated z 6.0 C. ${FIVE_LOG}`,
  }),
  dz({
    id: 'ecoli-beef-25fat',
    organism: STEC,
    food: 'ground beef, 25 % fat',
    targetLog10: 5,
    rangeC: [58, 65],
    refC: 60,
    dMin: 3.39,
    zC: 11.4 / 1.8,
    source: `Juneja 2003, ${AMIF}`,
    note: `${FIVE_LOG} ${RANGE_MEMORY}`,
  }),
  dz({
    id: 'ecoli-lamb',
    organism: STEC,
    food: 'lean ground lamb',
    targetLog10: 5,
    rangeC: [55, 65],
    refC: 65,
    dMin: 0.38,
    zC: 12.4 / 1.8,
    source: `Juneja & Marmer 1999, Food Res Int 32:23-28, ${AMIF}`,
    note: FIVE_LOG,
  }),
  dz({
    id: 'ecoli-pork',
    organism: STEC,
    food: 'lean ground pork',
    targetLog10: 5,
    rangeC: [55, 65],
    refC: 65,
    dMin: 0.3,
    zC: 11.7 / 1.8,
    source: `Juneja & Marmer 1999, Food Res Int 32:23-28, ${AMIF}`,
    note: FIVE_LOG,
  }),
  dz({
    id: 'ecoli-turkey',
    organism: STEC,
    food: 'lean ground turkey',
    targetLog10: 5,
    rangeC: [55, 65],
    refC: 65,
    dMin: 0.29,
    zC: 6.5,
    source: `Juneja & Marmer 1999, Food Res Int 32:23-28, ${AMIF}`,
    note: FIVE_LOG,
  }),
  dz({
    id: 'listeria-beef-2fat',
    organism: LISTERIA,
    food: 'lean ground beef, 2 % fat',
    targetLog10: 6,
    rangeC: [fToC(125), fToC(145)],
    refC: fToC(145),
    dMin: 0.6,
    zC: 9.3 / 1.8,
    source: `Fain et al. 1991, ${AMIF}`,
    note: `${SIX_LOG} ${RANGE_MEMORY}`,
  }),
  dz({
    id: 'listeria-beef-25fat',
    organism: LISTERIA,
    food: 'ground beef, 25 % fat',
    targetLog10: 6,
    rangeC: [58, 65],
    refC: 60,
    dMin: 4.1,
    zC: 12 / 1.8,
    source: `Juneja 2003, ${AMIF}`,
    note: `${SIX_LOG} ${RANGE_MEMORY}`,
  }),
  dz({
    id: 'listeria-pork-frank',
    organism: LISTERIA,
    food: 'pork sausage',
    targetLog10: 6,
    rangeC: [55, 70],
    refC: 60,
    dMin: 7.304,
    zC: 5.74,
    source: 'Murphy et al. 2004 (pork franks); least-squares line through its seven points',
    note: `${SIX_LOG} Salted sausage: more resistant than plain meat. The copy prints 57 C where the line wants 57.5 C.`,
  }),
  dz({
    id: 'listeria-chicken-thigh',
    organism: LISTERIA,
    food: 'chicken thigh and leg meat',
    targetLog10: 6,
    rangeC: [55, 70],
    refC: 55,
    dMin: 38.94,
    zC: 5.08,
    source: 'Murphy et al. 2004, Poultry Science 83:1218-1225',
    note: `${SIX_LOG} Printed D at 70 C is 0.04 min; this line gives 0.043.`,
  }),
  dz({
    id: 'perfringens-beef',
    organism: PERFRINGENS,
    food: 'ground beef',
    targetLog10: null,
    rangeC: [55, 62.5],
    refC: 60,
    dMin: 4.306,
    zC: 6.8,
    source: 'Juneja & Marmer 1998, Food Microbiol 15:281-287; least-squares line through its four points',
    note: CELLS_ONLY,
  }),
  dz({
    id: 'perfringens-turkey',
    organism: PERFRINGENS,
    food: 'ground turkey',
    targetLog10: null,
    rangeC: [55, 62.5],
    refC: 55,
    dMin: 17.5,
    zC: 6.64,
    source: 'Juneja & Marmer 1998, Food Microbiol 15:281-287 (17.5 min at 55 C, 1.3 min at 62.5 C)',
    note: CELLS_ONLY,
  }),
];

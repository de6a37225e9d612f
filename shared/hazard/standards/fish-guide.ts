import { celsiusTable, type DzStandard, type Standard } from './types.ts';

const FDA_FISH =
  'FDA, Fish and Fishery Products Hazards and Controls Guidance, 4th edition (2011, revised to June 2022), Appendix 4';
const FROM_MEMORY =
  'from memory; every lethal rate recomputed from z to three digits, and the anchor point seen in a public copy';

const LISTERIA: DzStandard = {
  kind: 'dz',
  id: 'fda-fish-listeria-6',
  name: 'FDA fish hazards guide, Listeria, 6 log',
  edition: '4th edition, Table A-3',
  organism: 'Listeria monocytogenes',
  food: 'fish and fishery products; used here for any food kept after cooking',
  targetLog10: 6,
  rangeC: [63, 85],
  dRefS: 20,
  refC: 70,
  zC: 7.5,
  source: `${FDA_FISH}, Table A-3 (70 C for 2 min is 6 log, z 7.5 C)`,
  confirmed: FROM_MEMORY,
  note: 'The table begins at 63 C: a longer hold below that earns nothing here, though Listeria does die there. Its printed minutes are rounded to one digit at the hot end, so the integral runs on D and z.',
};

const BOTULINUM: DzStandard = {
  kind: 'dz',
  id: 'fda-fish-botulinum-np-6',
  name: 'FDA fish hazards guide, non-proteolytic C. botulinum, 6 log',
  edition: '4th edition, Table A-4',
  organism: 'Clostridium botulinum, non-proteolytic (spores)',
  food: 'chilled food kept sealed for more than 10 days; a cook below 85 C earns nothing',
  targetLog10: 6,
  rangeC: [85, 100],
  dRefS: 100,
  refC: 90,
  zC: 7,
  zAboveRefC: 10,
  source: `${FDA_FISH}, Table A-4 (90 C for 10 min is 6 log, z 7 C below 90 C and 10 C above)`,
  confirmed: FROM_MEMORY,
  note: 'Stricter below 90 C than the UK table (z 9 C): 51.8 min against 36 min at 85 C. Lysozyme can protect spores; crab is known to need far longer.',
};

/** The other published view of the same spores, shown beside the stricter one. */
const BOTULINUM_UK = celsiusTable(
  {
    id: 'uk-botulinum-np-6',
    name: 'UK chilled food guide, non-proteolytic C. botulinum, 6 log',
    edition: '4th edition, 2006',
    organism: 'Clostridium botulinum, non-proteolytic (spores)',
    food: 'chilled food kept sealed for more than 10 days',
    targetLog10: 6,
    source:
      'Chilled Food Association, Best Practice Guidelines for the Production of Chilled Foods, 4th edition 2006, as reproduced by the UK Food Standards Agency',
    confirmed: 'seen in a public copy or recomputed',
    note: 'Milder below 90 C (z 9 C) than the FDA table; shown, not used for a verdict.',
  },
  [
    [80, 7740],
    [81, 6000],
    [82, 4620],
    [83, 3600],
    [84, 2760],
    [85, 2160],
    [86, 1680],
    [87, 1320],
    [88, 1020],
    [89, 780],
    [90, 600],
    [91, 474],
    [92, 378],
    [93, 300],
    [94, 240],
    [95, 192],
    [96, 150],
    [97, 120],
    [98, 96],
    [99, 78],
    [100, 60],
  ],
);

/** Standards for organisms other than Salmonella that matter for fish and for keeping food. */
export const FISH_GUIDE: readonly Standard[] = [LISTERIA, BOTULINUM, BOTULINUM_UK];

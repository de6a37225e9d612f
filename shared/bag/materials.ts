/**
 * How hot a bag's film or a box's liner may get. The lowest of what is in the water caps the setpoint.
 *
 * A maker's own rating for hot food contact goes before anything here; without one, ask for "food contact,
 * boil-in-bag". Figures marked "from memory" are to be checked against the maker's sheet.
 */

/** A material in contact with hot water. */
export interface Material {
  id: string;
  name: string;
  use: 'bag' | 'liner';
  /** no hotter than this for a long cook, C */
  maxC: number;
  /** from here on take the care that `care` says, C; null for none */
  careFromC: number | null;
  care: string;
  source: string;
}

const RESIN_CHART =
  'laboratory-ware resin chart (maximum use temperature; heat deflection at 66 psi, ASTM D648)';

export const MATERIALS: readonly Material[] = [
  {
    id: 'ldpe-zip',
    name: 'thin zipper bag, low-density polyethylene',
    use: 'bag',
    maxC: 80,
    careFromC: 70,
    care: 'Seams creep. Use two bags, one in the other, with the seam out of the water and off the element.',
    source: `${RESIN_CHART}: LDPE 80 C; Vicat softening 85 to 95 C (from memory)`,
  },
  {
    id: 'hdpe-bag',
    name: 'high-density polyethylene bag',
    use: 'bag',
    maxC: 95,
    careFromC: 85,
    care: 'Only film sold for boiling in the bag; thin carrier film is not food contact.',
    source: `${RESIN_CHART}: HDPE 120 C; kept under boiling for seams (judgement)`,
  },
  {
    id: 'pa-pe-pouch',
    name: 'vacuum pouch, polyamide and polyethylene',
    use: 'bag',
    maxC: 95,
    careFromC: 85,
    care: 'The inner layer is polyethylene: take pouches rated for cooking, not for storage only.',
    source: 'common practice, no source: storage grades to 70 C, cooking grades to 95 C or more',
  },
  {
    id: 'pp-pouch',
    name: 'cooking pouch, polypropylene inside',
    use: 'bag',
    maxC: 100,
    careFromC: null,
    care: '',
    source: `${RESIN_CHART}: PP 135 C, deflection 107 C`,
  },
  {
    id: 'silicone-bag',
    name: 'silicone bag',
    use: 'bag',
    maxC: 100,
    careFromC: null,
    care: 'Heavy walls slow the food down: allow for it.',
    source: 'silicone rubber 200 C (from memory)',
  },
  {
    id: 'hdpe-liner',
    name: 'cool box lined with high-density polyethylene',
    use: 'liner',
    maxC: 85,
    careFromC: 65,
    care: 'Softens under load above 65 C: never hang the element on the wall, and look for bulging.',
    source: `${RESIN_CHART}: HDPE 120 C, deflection 65 C; 85 C is judgement`,
  },
  {
    id: 'pp-liner',
    name: 'box lined with polypropylene',
    use: 'liner',
    maxC: 95,
    careFromC: null,
    care: '',
    source: `${RESIN_CHART}: PP 135 C, deflection 107 C`,
  },
  {
    id: 'ps-liner',
    name: 'cool box lined with polystyrene',
    use: 'liner',
    maxC: 70,
    careFromC: 60,
    care: 'Warps and crazes near 80 C; fat softens it.',
    source: 'polystyrene, deflection 70 to 90 C (from memory)',
  },
  {
    id: 'eps-bare',
    name: 'bare foam box, expanded polystyrene',
    use: 'liner',
    maxC: 70,
    careFromC: 60,
    care: 'Not food contact and it takes up water: put a liner of another material in it.',
    source: 'EPS, long-term 75 to 80 C (from memory)',
  },
  {
    id: 'pc-tank',
    name: 'polycarbonate container',
    use: 'liner',
    maxC: 90,
    careFromC: 70,
    care: 'Hot water slowly makes it brittle: look for fine cracks before each cook.',
    source: `${RESIN_CHART}: PC 135 C; embrittling in hot water from memory`,
  },
  {
    id: 'steel-pot',
    name: 'stainless steel pot or pan',
    use: 'liner',
    maxC: 100,
    careFromC: null,
    care: 'Bond it to protective earth where an element goes in.',
    source: 'common practice, no source',
  },
];

/**
 * A material by its id.
 * @throws RangeError that lists the ids there are
 */
export function materialOf(id: string): Material {
  const found = MATERIALS.find((material) => material.id === id);
  if (found) return found;
  throw new RangeError(
    `material "${id}" is not known; expected one of ${MATERIALS.map((m) => m.id).join(', ')}`,
  );
}

/** The hottest the bath may be with everything that is in it. */
export interface Ceiling {
  maxC: number;
  /** the material that sets it */
  limitedBy: Material;
  /** what to mind at the setpoint asked about */
  cares: Material[];
}

/**
 * The ceiling that bags and liner put on the setpoint.
 * @param ids every material in the water
 * @param setpointC to say which need care there
 * @throws RangeError for an unknown id or an empty list
 */
export function ceilingOf(ids: readonly string[], setpointC: number): Ceiling {
  const materials = ids.map(materialOf);
  const [first, ...rest] = materials;
  if (!first) throw new RangeError('no material was given; name the bags and the liner');
  const limitedBy = rest.reduce((lowest, next) => (next.maxC < lowest.maxC ? next : lowest), first);
  const cares = materials.filter((one) => one.careFromC !== null && setpointC >= one.careFromC);
  return { maxC: limitedBy.maxC, limitedBy, cares };
}

/** The cure of one dish made whole, and what it must not be. */
import { aromaticG } from '../cure/aromatics.ts';
import { nitrite } from '../cure/nitrite.ts';
import type { Cut } from '../food/cuts.ts';
import { PlanFault } from './fault.ts';
import type { CureNitrite, CureWanted } from './types.ts';
import { USUAL_CURE_S, USUAL_SALT_PERCENT } from './usual.ts';

/** What may be said of a cure; null: no salt. */
export type CureAsked = { readonly [K in keyof CureWanted]?: CureWanted[K] | undefined } | null | undefined;

/** How a dish is called, what it weighs, and where a default that was taken is named. */
interface Of {
  readonly cut: Cut;
  readonly name: string;
  readonly massKg: number;
  readonly add: (what: string, value: string, why: string) => void;
}

/** Completes a cure. @throws PlanFault for spices that are not known, and for nitrite that must not be used so */
export function completeCure(asked: CureAsked, of: Of): CureWanted | null {
  const { cut, add } = of;
  if (asked === null) return null;
  if (asked === undefined && (cut.ground || cut.family === 'fish' || cut.id === 'pork-ham-cured')) {
    add('cure', 'none', 'Not usual for this food.');
    return null;
  }
  if (asked === undefined) {
    add(
      'cure',
      `${USUAL_SALT_PERCENT} % salt by weight, about 12 h where there is time`,
      'Weighed salt needs no rinse and cannot oversalt.',
    );
  }
  const wanted: CureWanted = {
    method: asked?.method ?? 'equilibrium',
    saltPercent: asked?.saltPercent ?? USUAL_SALT_PERCENT,
    sugarRatio: asked?.sugarRatio ?? 0,
    wantedS: asked?.wantedS ?? USUAL_CURE_S,
    aromatics: asked?.aromatics ?? [],
    nitrite: asked?.nitrite ?? null,
  };
  const faults = [...aromaticFaults(wanted, of), ...nitriteFaults(wanted, of)];
  if (faults.length > 0) throw new PlanFault(faults);
  return wanted;
}

/** By which formula and limit curing salt on this cut goes. */
export function nitriteMethod(cut: Cut): 'comminuted' | 'dry' {
  return cut.ground ? 'comminuted' : 'dry';
}

function aromaticFaults({ aromatics = [] }: CureWanted, { name, massKg }: Of): string[] {
  const ids = aromatics.map(({ id }) => id);
  const twice = ids.filter((id, i) => ids.indexOf(id) < i).map((id) => `${name}: ${id} was asked for twice.`);
  return [
    ...aromatics.flatMap(({ id, percent }) => faultOf(name, () => aromaticG(id, massKg, percent))),
    ...twice,
  ];
}

function nitriteFaults(wanted: CureWanted, { cut, name, massKg }: Of): string[] {
  const asked = wanted.nitrite;
  if (!asked) return [];
  if (cut.family === 'fish' || cut.family === 'vegetable') {
    return [`${name}: curing salt with nitrite is planned for meat and poultry only. Leave it out.`];
  }
  if (wanted.method === 'packed') {
    return [
      `${name}: nitrite is weighed for the meat, and of a packing in salt nobody knows how much stays. Weigh the salt (equilibrium), or leave the nitrite out.`,
    ];
  }
  return faultOf(name, () => judged(wanted, asked, cut, massKg));
}

/** Stops hard over a limit, as everywhere. */
function judged({ saltPercent }: CureWanted, asked: CureNitrite, cut: Cut, meatKg: number): void {
  const found = nitrite({ ...asked, method: nitriteMethod(cut), meatKg });
  if (found.stop) throw new RangeError(found.stop);
  if (found.saltG > meatKg * 10 * saltPercent) {
    throw new RangeError(
      `the curing salt alone brings ${found.saltG.toFixed(0)} g of salt, more than ${saltPercent} % of the meat; ask for more salt or less curing salt.`,
    );
  }
}

function faultOf(name: string, check: () => unknown): string[] {
  try {
    check();
    return [];
  } catch (error) {
    if (!(error instanceof RangeError)) throw error;
    return [`${name}: ${error.message}`];
  }
}

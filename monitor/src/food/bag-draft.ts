import { betaOf } from '../../../shared/food/beta.ts';
import type { Cut } from '../../../shared/food/cut.ts';
import { cutById, cuts } from '../../../shared/food/cuts.ts';
import { type Shape, usualCylinder } from '../../../shared/food/shape.ts';
import type { BagSpec } from '../../../shared/wire/command.ts';
import type { BagView } from '../../../shared/wire/status.ts';
import { numberFault, parseNumber } from '../words/number.ts';
import { fromUnit, inUnit, type TemperatureUnit } from '../words/temperature.ts';

/** `usual`: as the cut usually is; `other`: by number. */
export type ShapeChoice = 'usual' | 'slab' | 'roll' | 'cylinder' | 'sphere' | 'other';
type NamedShape = Exclude<ShapeChoice, 'usual' | 'other'>;

/** A bag's form as typed. Temperatures are in the unit in force when it was opened. */
export interface BagDraft {
  readonly label: string;
  readonly cutId: string;
  readonly shape: ShapeChoice;
  readonly beta: string;
  readonly thicknessMm: string;
  readonly massKg: string;
  readonly start: string;
  readonly minutesAgo: string;
  readonly endpoint: BagSpec['endpoint'];
  /** For the record; may be left empty. */
  readonly lot: string;
  readonly supplier: string;
  readonly cure: string;
  readonly unit: TemperatureUnit;
}

const NAMED_SHAPES = {
  slab: { kind: 'slab' },
  roll: usualCylinder,
  cylinder: { kind: 'cylinder' },
  sphere: { kind: 'sphere' },
} as const satisfies Record<NamedShape, Shape>;

/** The beta of a choice of shape for that cut; `other` as it was typed. */
export function betaFor(draft: Pick<BagDraft, 'shape' | 'cutId' | 'beta'>): number {
  if (draft.shape === 'other') return parseNumber(draft.beta);
  if (draft.shape !== 'usual') return betaOf(NAMED_SHAPES[draft.shape]);
  const cut = cutById(draft.cutId);
  return cut ? betaOf(cut.typicalShape) : Number.NaN;
}

/** How a cut usually lies, in words. */
export function usualShapeText(cut: Cut): string {
  const shape = cut.typicalShape;
  switch (shape.kind) {
    case 'brick':
      return `about 1 : ${shape.width} : ${shape.length}`;
    case 'finite-cylinder':
      return shape.length < 1 ? 'a thick slice' : 'round, about twice as long';
    case 'slab':
      return 'flat';
    case 'cylinder':
      return 'long and round';
    case 'sphere':
      return 'a ball';
    default:
      return `beta ${shape.beta}`;
  }
}

/** What most tough cuts are cooked for. */
const USUAL_ENDPOINT = 'fork-tender';

/** Out of a cold fridge. */
const FRIDGE_C = 4;

function choiceFor(beta: number, cut: Cut | undefined): ShapeChoice {
  const same = (other: number) => Math.abs(other - beta) < 0.005;
  if (cut && same(betaOf(cut.typicalShape))) return 'usual';
  const names = Object.keys(NAMED_SHAPES) as NamedShape[];
  return names.find((name) => same(betaOf(NAMED_SHAPES[name]))) ?? 'other';
}

/** Nothing said yet of a bag. The thickness stays empty: it decides the estimate, so it is to be measured. */
export function emptyDraft(unit: TemperatureUnit): BagDraft {
  return {
    label: '',
    cutId: '',
    shape: 'usual',
    beta: '',
    thicknessMm: '',
    massKg: '',
    start: inUnit(FRIDGE_C, unit).toFixed(0),
    minutesAgo: '0',
    endpoint: USUAL_ENDPOINT,
    lot: '',
    supplier: '',
    cure: '',
    unit,
  };
}

/** What a new bag goes by: the bags already in this cook. */
export type Other = Pick<BagView, 'label' | 'cutId' | 'endpoint'>;

/**
 * What is usual for a cut: its label, numbered where `others` have it already, its shape, and what was wanted of
 * the same cut before: the endpoint is named once for each dish.
 */
export function usualOf(
  cut: Cut,
  others: readonly Other[],
): Pick<BagDraft, 'cutId' | 'label' | 'shape' | 'endpoint'> {
  let number = 1;
  const short = cut.name.split(',')[0]!;
  while (others.some((other) => other.label === `${short} ${number}`)) number++;
  const named = others.findLast((other) => other.cutId === cut.id)?.endpoint;
  return { cutId: cut.id, label: `${short} ${number}`, shape: 'usual', endpoint: named ?? USUAL_ENDPOINT };
}

/** The form of a bag that is in the bath already. */
export function draftOf(bag: BagView, unit: TemperatureUnit): BagDraft {
  return {
    label: bag.label,
    cutId: bag.cutId,
    shape: choiceFor(bag.beta, cutById(bag.cutId)),
    beta: bag.beta.toFixed(2),
    thicknessMm: String(bag.thicknessMm),
    massKg: bag.massKg === null ? '' : String(bag.massKg),
    start: inUnit(bag.startC, unit).toFixed(1),
    minutesAgo: '0',
    endpoint: bag.endpoint,
    lot: bag.lot ?? '',
    supplier: bag.supplier ?? '',
    cure: bag.cure ?? '',
    unit,
  };
}

/** Bounds of the fields, as the shared schema has them; temperatures in the unit asked for, rounded inwards. */
export function bounds(unit: TemperatureUnit) {
  return {
    thicknessMm: { min: 5, max: 200 },
    massKg: { min: 0.02, max: 15 },
    start: { min: Math.ceil(inUnit(-1, unit)), max: Math.floor(inUnit(40, unit)) },
    minutesAgo: { min: 0, max: 60 },
    beta: { min: 0, max: 2 },
  };
}

/** The bag as the controller wants it, or the list of what is still missing. */
export function specOf(
  draft: BagDraft,
  bagId: string,
): { ok: true; bag: BagSpec; agoS: number } | { ok: false; missing: string[] } {
  const b = bounds(draft.unit);
  const fails = (text: string, { min, max }: { min: number; max: number }) =>
    numberFault(text, min, max, '') !== null;
  const missing = [
    ...(draft.label.trim() === '' ? ['a label'] : []),
    ...(cuts.some((cut) => cut.id === draft.cutId) ? [] : ['the cut']),
    ...(draft.shape === 'other' && fails(draft.beta, b.beta) ? ['the shape'] : []),
    ...(fails(draft.thicknessMm, b.thicknessMm) ? ['the thickness'] : []),
    ...(draft.massKg.trim() !== '' && fails(draft.massKg, b.massKg)
      ? ['a weight that will do, or none']
      : []),
    ...(fails(draft.start, b.start) ? ['the start temperature'] : []),
    ...(fails(draft.minutesAgo, b.minutesAgo) ? ['the minutes'] : []),
  ];
  if (missing.length > 0) return { ok: false, missing };
  return {
    ok: true,
    agoS: parseNumber(draft.minutesAgo) * 60,
    bag: {
      bagId,
      label: draft.label.trim(),
      cutId: draft.cutId,
      beta: betaFor(draft),
      thicknessMm: parseNumber(draft.thicknessMm),
      massKg: draft.massKg.trim() === '' ? null : parseNumber(draft.massKg),
      startC: fromUnit(parseNumber(draft.start), draft.unit),
      endpoint: draft.endpoint,
      ...said('lot', draft.lot),
      ...said('supplier', draft.supplier),
      ...said('cure', draft.cure),
    },
  };
}

/** A field for the record, where something was written in it. */
function said(
  name: 'lot' | 'supplier' | 'cure',
  text: string,
): Partial<Pick<BagSpec, 'lot' | 'supplier' | 'cure'>> {
  return text.trim() === '' ? {} : { [name]: text.trim() };
}

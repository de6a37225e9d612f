import { betaOf } from '../../../shared/food/beta.ts';
import type { Cut } from '../../../shared/food/cut.ts';
import { cuts } from '../../../shared/food/cuts.ts';
import { type Shape, usualBrick } from '../../../shared/food/shape.ts';
import type { BagSpec } from '../../../shared/wire/command.ts';
import type { BagView } from '../../../shared/wire/status.ts';
import { numberFault, parseNumber } from '../words/number.ts';
import { fromUnit, inUnit, type TemperatureUnit } from '../words/temperature.ts';

export type ShapeChoice = 'piece' | 'slab' | 'cylinder' | 'sphere' | 'other';

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
  readonly unit: TemperatureUnit;
}

const KNOWN_SHAPES = {
  piece: usualBrick,
  slab: { kind: 'slab' },
  cylinder: { kind: 'cylinder' },
  sphere: { kind: 'sphere' },
} as const satisfies Record<Exclude<ShapeChoice, 'other'>, Shape>;

/** Working a beta out takes a phone some tenths of a second, so each shape's is kept. */
const betas = new Map<string, number>();

function keptBeta(shape: Shape): number {
  const key = JSON.stringify(shape);
  const held = betas.get(key) ?? betaOf(shape);
  betas.set(key, held);
  return held;
}

/** The beta of one of the shapes to choose from. */
export function shapeBeta(choice: Exclude<ShapeChoice, 'other'>): number {
  return keptBeta(KNOWN_SHAPES[choice]);
}

/** Out of a cold fridge. */
const FRIDGE_C = 4;

function shapeFor(beta: number): ShapeChoice {
  const known = (Object.keys(KNOWN_SHAPES) as Exclude<ShapeChoice, 'other'>[]).find(
    (choice) => Math.abs(shapeBeta(choice) - beta) < 0.005,
  );
  return known ?? 'other';
}

/** Nothing said yet of a bag. The thickness stays empty: it decides the estimate, so it is to be measured. */
export function emptyDraft(unit: TemperatureUnit): BagDraft {
  return {
    label: '',
    cutId: '',
    shape: 'piece',
    beta: '',
    thicknessMm: '',
    massKg: '',
    start: inUnit(FRIDGE_C, unit).toFixed(0),
    minutesAgo: '0',
    unit,
  };
}

/** What is usual for a cut: its label, numbered where `others` have it already, and its shape. */
export function usualOf(
  cut: Cut,
  others: readonly string[],
): Pick<BagDraft, 'cutId' | 'label' | 'shape' | 'beta'> {
  const beta = keptBeta(cut.typicalShape);
  let number = 1;
  const short = cut.name.split(',')[0]!;
  while (others.includes(`${short} ${number}`)) number++;
  return { cutId: cut.id, label: `${short} ${number}`, shape: shapeFor(beta), beta: beta.toFixed(2) };
}

/** The form of a bag that is in the bath already. */
export function draftOf(bag: BagView, unit: TemperatureUnit): BagDraft {
  return {
    label: bag.label,
    cutId: bag.cutId,
    shape: shapeFor(bag.beta),
    beta: bag.beta.toFixed(2),
    thicknessMm: String(bag.thicknessMm),
    massKg: bag.massKg === null ? '' : String(bag.massKg),
    start: inUnit(bag.startC, unit).toFixed(1),
    minutesAgo: '0',
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
      beta: draft.shape === 'other' ? parseNumber(draft.beta) : shapeBeta(draft.shape),
      thicknessMm: parseNumber(draft.thicknessMm),
      massKg: draft.massKg.trim() === '' ? null : parseNumber(draft.massKg),
      startC: fromUnit(parseNumber(draft.start), draft.unit),
    },
  };
}

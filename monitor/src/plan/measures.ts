/** What weights are typed and shown in; thickness goes with it: millimetres beside g and kg, inches beside lb. */
export type MassUnit = 'g' | 'kg' | 'lb';

const KG: Record<MassUnit, number> = { g: 0.001, kg: 1, lb: 0.45359237 };
const MM_PER_INCH = 25.4;

/** Every unit of weight. */
export const MASS_UNITS = ['g', 'kg', 'lb'] as const satisfies readonly MassUnit[];

/** Kilograms of a typed weight. */
export function kgOf(value: number, unit: MassUnit): number {
  return value * KG[unit];
}

/** A weight for a field: grams whole, kilograms to 10 g, pounds to a hundredth. */
export function massField(kg: number, unit: MassUnit): string {
  const value = kg / KG[unit];
  return unit === 'g' ? String(Math.round(value)) : String(Number(value.toFixed(2)));
}

/** Millimetres of a typed thickness, to 0.1 mm. */
export function mmOf(value: number, unit: MassUnit): number {
  return unit === 'lb' ? Math.round(value * MM_PER_INCH * 10) / 10 : value;
}

/** A thickness for a field. */
export function thicknessField(mm: number, unit: MassUnit): string {
  return unit === 'lb' ? (mm / MM_PER_INCH).toFixed(1) : String(Math.round(mm));
}

/** A thickness for people. */
export function thicknessText(mm: number, unit: MassUnit): string {
  return `${thicknessField(mm, unit)} ${lengthUnit(unit)}`;
}

/** The unit of lengths that goes with a unit of weight. */
export function lengthUnit(unit: MassUnit): 'in' | 'mm' {
  return unit === 'lb' ? 'in' : 'mm';
}

/** A weight of food for people: 2 kg, 850 g, 4.41 lb. */
export function massText(kg: number, unit: MassUnit): string {
  if (unit === 'lb') return kg < KG.lb ? `${ounces(kg)} oz` : `${Number((kg / KG.lb).toFixed(2))} lb`;
  if (kg < 1 || unit === 'g') return `${Math.round(kg * 1000)} g`;
  return `${Number(kg.toFixed(2))} kg`;
}

const ounces = (kg: number) => Number((kg / (KG.lb / 16)).toFixed(1));

/** Salt, spice and ballast: always in grams, because a scale that weighs them right has them; ounces beside pounds. */
export function gramsText(grams: number, unit: MassUnit): string {
  const text = `${grams < 10 ? Number(grams.toFixed(1)) : Math.round(grams)} g`;
  return unit === 'lb' && grams >= 100 ? `${text} (${ounces(grams / 1000)} oz)` : text;
}

/** Litres, with quarts beside pounds. */
export function litresText(litres: number, unit: MassUnit): string {
  const text = `${Number(litres.toFixed(litres < 1 ? 2 : 1))} L`;
  return unit === 'lb' && litres >= 1 ? `${text} (${(litres / 0.946353).toFixed(0)} qt)` : text;
}

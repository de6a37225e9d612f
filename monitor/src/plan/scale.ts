import { effect, signal } from '@preact/signals';
import { MASS_UNITS, type MassUnit } from './measures.ts';
import { recall, remember } from './memory.ts';

/** The scale of the kitchen, as chosen on this phone; null: as goes with its unit of temperature. */
export const chosenMass = signal<MassUnit | null>(
  MASS_UNITS.find((unit) => unit === recall<string>('mass')) ?? null,
);
effect(() => remember('mass', chosenMass.value));

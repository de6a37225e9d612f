import { parseArgs } from 'node:util';
import type { Cut } from '../../../shared/food/cuts.ts';
import { cutById, cuts, refusedFoods } from '../../../shared/food/cuts.ts';
import type { Circulation } from '../../../shared/food/film.ts';
import { parseShape, type Shape } from '../../../shared/food/shape.ts';
import { LIMIT_PROFILES, limitProfile } from '../../../shared/hazard/profiles.ts';
import { parseQuantity } from '../../../shared/units/quantity.ts';
import type { TemperatureUnit } from '../../../shared/units/temperature.ts';
import { Refusal } from './refusal.ts';

/** A column as a person names it: by its header or by its place, the first being 1. */
export type ColumnAsked = string;

/** What was asked of `assess`, checked. Lengths in mm, temperatures in C, the rest in SI units. */
export interface Asked {
  readonly path: string;
  readonly shape: Shape;
  readonly shapeText: string;
  readonly thicknessMm: number;
  readonly startC: number;
  readonly cut: Cut | null;
  readonly diffusivity: number | undefined;
  readonly conductivity: number | undefined;
  readonly film: number | undefined;
  readonly circulation: Circulation | undefined;
  readonly columns: { readonly time?: ColumnAsked; readonly bath?: ColumnAsked; readonly core?: ColumnAsked };
  readonly unit: TemperatureUnit | undefined;
  /** Seconds between points of the core's curve; undefined where none was asked for. */
  readonly seriesS: number | undefined;
  readonly profileId: string;
  /** How the core probe's place was found to be the coldest; undefined where nobody looked. */
  readonly coldSpot: string | undefined;
  readonly json: boolean;
}

const TEXT = { type: 'string' } as const;
const FLAGS = {
  shape: TEXT,
  thickness: TEXT,
  start: TEXT,
  cut: TEXT,
  diffusivity: TEXT,
  conductivity: TEXT,
  film: TEXT,
  circulation: TEXT,
  'time-column': TEXT,
  'bath-column': TEXT,
  'core-column': TEXT,
  unit: TEXT,
  series: TEXT,
  profile: TEXT,
  'cold-spot': TEXT,
  json: { type: 'boolean' },
  help: { type: 'boolean' },
} as const;

/** What the flags of one number may be. */
const RANGES = {
  diffusivity: { low: 5e-8, high: 1e-6, unit: 'm2/s', usual: 'meat is near 1.3e-7' },
  conductivity: { low: 0.05, high: 5, unit: 'W/(m K)', usual: 'meat is near 0.48' },
  film: {
    low: 1,
    high: 1e5,
    unit: 'W/(m2 K)',
    usual: 'pumped water is near 300, still water near 100',
  },
} as const;

/**
 * Reads the flags of `assess`.
 * @throws Refusal that lists every fault at once.
 */
export function readFlags(argv: readonly string[]): Asked | 'help' {
  const { values, positionals } = parsed(argv);
  if (values.help) return 'help';
  const faults: string[] = [];
  const attempt = <T>(read: () => T): T | undefined => {
    try {
      return read();
    } catch (error) {
      if (!(error instanceof RangeError)) throw error;
      faults.push(error.message);
      return undefined;
    }
  };
  const path = attempt(() => pathOf(positionals));
  const cut = attempt(() => cutOf(values.cut));
  const shape = attempt(() => shapeOf(values.shape, cut ?? null));
  const thicknessMm = attempt(() => thicknessOf(values.thickness));
  const startC = attempt(() => startOf(values.start));
  const number = (name: keyof typeof RANGES) => attempt(() => numberOf(name, values[name], RANGES[name]));
  const diffusivity = number('diffusivity');
  const conductivity = number('conductivity');
  const film = number('film');
  const circulation = attempt(() => circulationOf(values.circulation, film));
  const unit = attempt(() => unitOf(values.unit));
  const seriesS = attempt(() => seriesOf(values.series));
  const profileId = attempt(() => limitProfile(values.profile ?? LIMIT_PROFILES[0]!.id).id);
  if (faults.length > 0) throw new Refusal(faults.join('\n'));
  return {
    path: path!,
    shape: shape!.shape,
    shapeText: shape!.text,
    thicknessMm: thicknessMm!,
    startC: startC!,
    cut: cut ?? null,
    diffusivity,
    conductivity,
    film,
    circulation,
    columns: columnsOf(values),
    unit,
    seriesS,
    profileId: profileId!,
    coldSpot: values['cold-spot'],
    json: values.json ?? false,
  };
}

function parsed(argv: readonly string[]) {
  try {
    return parseArgs({ args: withNegatives(argv), allowPositionals: true, options: FLAGS });
  } catch (error) {
    const why = (error instanceof Error ? error.message : String(error)).split(/\.?(?:\n|\. |$)/, 1)[0];
    throw new Refusal(`${why}. See: bathkeeper assess --help`);
  }
}

/** A value such as -1C would else be taken for a flag. */
function withNegatives(argv: readonly string[]): string[] {
  const joined: string[] = [];
  for (const word of argv) {
    const before = joined.at(-1);
    if (/^-[\d.]/.test(word) && before?.startsWith('--') && !before.includes('=')) {
      joined[joined.length - 1] = `${before}=${word}`;
    } else joined.push(word);
  }
  return joined;
}

function pathOf(positionals: readonly string[]): string {
  if (positionals.length === 1) return positionals[0]!;
  const found = positionals.length === 0 ? 'no log was named' : `${positionals.length} logs were named`;
  throw new RangeError(`${found}; expected one file. See: bathkeeper assess --help`);
}

function cutOf(id: string | undefined): Cut | null {
  if (id === undefined) return null;
  const cut = cutById(id);
  if (cut) return cut;
  const refused = refusedFoods.find((food) => food.id === id);
  if (refused) throw new RangeError(`--cut ${id}: ${refused.name} cannot be judged here. ${refused.reason}`);
  throw new RangeError(`--cut "${id}" is not known; known are ${cuts.map((c) => c.id).join(', ')}.`);
}

function shapeOf(text: string | undefined, cut: Cut | null): { shape: Shape; text: string } {
  if (text !== undefined) return { shape: parseShape(text), text };
  if (cut) return { shape: cut.typicalShape, text: `${cut.typicalShape.kind} (usual for ${cut.name})` };
  throw new RangeError(
    '--shape is missing; expected slab, cylinder, sphere, a number from 0 to 2, brick or finite-cylinder.',
  );
}

function thicknessOf(text: string | undefined): number {
  if (text === undefined) {
    throw new RangeError(
      '--thickness is missing; expected the full thickness of the filled bag at its thickest, for example 40mm. Pieces that touch count as one.',
    );
  }
  const read = parseQuantity(text, 'length');
  if (!read.ok) throw new RangeError(`--thickness ${read.why}.`);
  if (read.value >= 1 && read.value <= 300) return read.value;
  throw new RangeError(`--thickness ${text} is ${read.value} mm; expected 1 to 300 mm. Check the unit.`);
}

function startOf(text: string | undefined): number {
  if (text === undefined) {
    throw new RangeError(
      '--start is missing; expected the temperature of the food when it went in, for example 5C.',
    );
  }
  const read = parseQuantity(text, 'temperature');
  if (!read.ok) throw new RangeError(`--start ${read.why}.`);
  if (read.value < -1) {
    throw new RangeError(
      `--start ${text} is frozen food; expected -1 C or more. Thaw it first: thawing takes up heat that this model does not have, and the core would be credited too early.`,
    );
  }
  if (read.value <= 100) return read.value;
  throw new RangeError(
    `--start ${text} is ${read.value.toFixed(1)} C; expected at most 100 C. Check the unit.`,
  );
}

interface Range {
  readonly low: number;
  readonly high: number;
  readonly unit: string;
  readonly usual: string;
}

function numberOf(name: string, text: string | undefined, range: Range): number | undefined {
  if (text === undefined) return undefined;
  const value = text.trim() === '' ? Number.NaN : Number(text);
  if (value >= range.low && value <= range.high) return value;
  throw new RangeError(
    `--${name} "${text}": expected a number from ${range.low} to ${range.high} ${range.unit}; ${range.usual}.`,
  );
}

function circulationOf(text: string | undefined, film: number | undefined): Circulation | undefined {
  if (text === undefined) return undefined;
  if (film !== undefined)
    throw new RangeError(
      '--circulation and --film were both given; a film is one number for the whole log. Give one.',
    );
  const word = text.trim().toLowerCase();
  if (word === 'pumped' || word === 'still') return word;
  throw new RangeError(`--circulation "${text}": expected pumped or still.`);
}

function unitOf(text: string | undefined): TemperatureUnit | undefined {
  if (text === undefined) return undefined;
  const letter = text.trim().toUpperCase();
  if (letter === 'C' || letter === 'F') return letter;
  throw new RangeError(`--unit "${text}": expected C or F.`);
}

function seriesOf(text: string | undefined): number | undefined {
  if (text === undefined) return undefined;
  const quantity = parseQuantity(text, 'duration');
  const value = quantity.ok ? quantity.value : text.trim() === '' ? Number.NaN : Number(text);
  if (value >= 0.1 && value <= 86_400) return value;
  throw new RangeError(
    `--series "${text}": expected the seconds between two points, 0.1 to 86400, for example 60.`,
  );
}

function columnsOf(values: Record<string, string | boolean | undefined>): Asked['columns'] {
  const pick = (name: 'time' | 'bath' | 'core') => {
    const text = values[`${name}-column`];
    return typeof text === 'string' ? { [name]: text } : {};
  };
  return { ...pick('time'), ...pick('bath'), ...pick('core') };
}

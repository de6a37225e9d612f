import { parseArgs } from 'node:util';
import { type Cure, type CureAsked, cure } from '../../shared/cure/cure.ts';
import { NITRITE_LIMITS, type NitriteAsked, type NitriteMethod } from '../../shared/cure/nitrite.ts';
import { calibrateSpoon, spoonMeasure } from '../../shared/cure/salt-kinds.ts';
import { durationText } from '../../shared/units/duration.ts';
import { parseQuantity } from '../../shared/units/quantity.ts';
import { type FlagReader, flagFault, flagReader } from './flags.ts';
import type { Verb } from './io.ts';

const METHODS = NITRITE_LIMITS.map((limit) => limit.method);

const HELP = `bathkeeper cure --weight 2kg --thickness 70mm --salt 1.5%

What to weigh for a cure, how long, and how far the salt goes in the fridge and then in the bath.

  --weight 2kg          raw meat
  --thickness 70mm
  --salt 1.5%           of the raw weight
  --sugar 50%           of the salt's weight (default none)
  --method WORD         equilibrium (weighed, no rinse; default) or packed (in excess, rinsed)
  --time 12h            in the fridge (default 12h; packed: worked out)
  --fridge 4C
  --bath 74C --cook 10h the bath after it (defaults shown); --no-bath for the cure alone
  --poultry             cautions for raw poultry
  --spoon KIND          the salt in level teaspoons: table, fine-sea, coarse-sea, dense-flake,
                        light-flake, large-flake
  --five-spoons 24g     what five level teaspoons of your salt weigh: calibrates your spoon
  --aromatic ID=0.1%    again for more
Nitrite is off unless a curing salt is weighed out:
  --curing-salt 5g --nitrite 6.25% --nitrite-method ${METHODS.join('|')}
  --brine 2kg --pick-up 10% --skin-on
  --json                print one JSON document and nothing else
  --help

Exit codes: 0 done, 1 failure, 2 bad input.
`;

const text = { type: 'string' } as const;
const flag = { type: 'boolean' } as const;
const OPTIONS = {
  weight: text,
  thickness: text,
  salt: text,
  sugar: text,
  method: text,
  time: text,
  fridge: text,
  bath: text,
  cook: text,
  'no-bath': flag,
  poultry: flag,
  spoon: text,
  'five-spoons': text,
  aromatic: { type: 'string', multiple: true },
  'curing-salt': text,
  nitrite: text,
  'nitrite-method': text,
  brine: text,
  'pick-up': text,
  'skin-on': flag,
  json: flag,
  help: flag,
} as const;

const parse = (argv: string[]) => parseArgs({ args: argv, options: OPTIONS }).values;
type Values = ReturnType<typeof parse>;

/** The verb `cure`. */
export const cureVerb: Verb = async (argv, io) => {
  let values: Values;
  try {
    values = parse(argv);
  } catch (error) {
    io.err(flagFault(error, 'cure'));
    return 2;
  }
  if (values.help) {
    io.out(HELP);
    return 0;
  }
  const reader = flagReader();
  const asked = readCure(reader, values);
  const spoonsKg = reader.quantity('five-spoons', values['five-spoons'], 'mass');
  try {
    if (reader.faults.length > 0 || !asked) throw new RangeError(reader.faults.join('\nbathkeeper cure: '));
    const found = cure(asked);
    if (!found.fridge.ok) throw new RangeError(`STOP: ${found.fridge.words}`);
    if (found.nitrite?.stop) throw new RangeError(found.nitrite.stop);
    const spoon = values.spoon === undefined ? null : spoonMeasure(found.saltG, values.spoon);
    const calibration = spoonsKg === undefined ? null : calibrateSpoon(1000 * spoonsKg);
    const own = calibration && { ...calibration, teaspoonsCount: found.saltG / calibration.gramsPerTsp };
    const bath = asked.bath ?? null;
    const document = {
      meatKg: asked.meatKg,
      thicknessMm: asked.thicknessMm,
      wantedSaltPercent: asked.saltPercent,
      bathC: bath?.celsius ?? null,
      bathS: bath?.seconds ?? null,
      ...found,
      spoon,
      ownSpoon: own,
    };
    io.out(
      values.json
        ? `${JSON.stringify(document)}\n`
        : cureText(
            asked,
            found,
            spoon?.words,
            own ? `${own.words} For this cure ${own.teaspoonsCount.toFixed(1)} of them.` : undefined,
          ),
    );
    return 0;
  } catch (error) {
    if (!(error instanceof RangeError)) throw error;
    io.err(`bathkeeper cure: ${error.message}\n`);
    return 2;
  }
};

function readCure(reader: FlagReader, values: Values): CureAsked | null {
  const need = (
    name: 'weight' | 'thickness' | 'salt',
    dimension: 'mass' | 'length' | 'fraction',
    example: string,
  ) => {
    if (values[name] === undefined)
      reader.faults.push(`--${name} is missing; give for example --${name} ${example}.`);
    return reader.quantity(name, values[name], dimension);
  };
  const meatKg = need('weight', 'mass', '2kg');
  const thicknessMm = need('thickness', 'length', '70mm');
  const salt = need('salt', 'fraction', '1.5%');
  const celsius = reader.quantity('bath', values.bath, 'temperature') ?? 74;
  const seconds = reader.quantity('cook', values.cook, 'duration') ?? 10 * 3600;
  const fridgeS = reader.quantity('time', values.time, 'duration');
  const fridgeC = reader.quantity('fridge', values.fridge, 'temperature');
  const sugarRatio = reader.quantity('sugar', values.sugar, 'fraction');
  const method = reader.choice('method', values.method, ['equilibrium', 'packed']);
  const nitrite = readNitrite(reader, values);
  const aromatics = (values.aromatic ?? []).map((one) => readAromatic(reader, one));
  if (meatKg === undefined || thicknessMm === undefined || salt === undefined) return null;
  return {
    meatKg,
    thicknessMm,
    saltPercent: 100 * salt,
    ...(method === undefined ? {} : { method }),
    ...(sugarRatio === undefined ? {} : { sugarRatio }),
    ...(fridgeS === undefined ? {} : { fridgeS }),
    ...(fridgeC === undefined ? {} : { fridgeC }),
    bath: values['no-bath'] ? null : { seconds, celsius },
    poultry: values.poultry ?? false,
    aromatics,
    nitrite,
  };
}

function readNitrite(reader: FlagReader, values: Values): Omit<NitriteAsked, 'meatKg'> | null {
  const curingKg = reader.quantity('curing-salt', values['curing-salt'], 'mass');
  const nitriteFraction = reader.quantity('nitrite', values.nitrite, 'fraction');
  const method = reader.choice<NitriteMethod>('nitrite-method', values['nitrite-method'], METHODS);
  const brineKg = reader.quantity('brine', values.brine, 'mass');
  const pickUpFraction = reader.quantity('pick-up', values['pick-up'], 'fraction');
  const asked = [values['curing-salt'], values.nitrite, values['nitrite-method']].filter(
    (v) => v !== undefined,
  );
  if (asked.length === 0) return null;
  if (curingKg === undefined || nitriteFraction === undefined || method === undefined) {
    reader.faults.push(
      'nitrite needs all of --curing-salt (a weight, never spoons), --nitrite (its share) and --nitrite-method.',
    );
    return null;
  }
  return {
    method,
    curingSaltG: 1000 * curingKg,
    nitriteFraction,
    skinOn: values['skin-on'] ?? false,
    ...(brineKg === undefined ? {} : { brineKg }),
    ...(pickUpFraction === undefined ? {} : { pickUpFraction }),
  };
}

/** `ID` or `ID=0.1%` of the flag `--aromatic`. */
export function readAromatic(reader: FlagReader, given: string): { id: string; percent?: number } {
  const [id = '', share] = given.split('=');
  if (share === undefined) return { id };
  const read = parseQuantity(share, 'fraction');
  if (read.ok) return { id, percent: 100 * read.value };
  reader.faults.push(`--aromatic ${read.why}.`);
  return { id };
}

/** As many decimals as a person reads. */
const plain = (value: number) => String(Number(value.toFixed(2)));

function cureText(asked: CureAsked, found: Cure, spoon: string | undefined, own: string | undefined): string {
  const lines = [
    found.method === 'equilibrium'
      ? `Salt ${found.saltG.toFixed(1)} g, sugar ${found.sugarG.toFixed(1)} g for ${plain(asked.meatKg)} kg.`
      : `Pack in about ${found.packG.toFixed(0)} g of salt for ${plain(asked.meatKg)} kg; ${found.meanSaltPercent.toFixed(1)} % goes in.`,
    `Fridge: ${durationText(found.fridgeS)} at ${plain(found.fridgeC)} C${found.fridgeHighS > found.fridgeS ? ` (the same salt may be in after ${durationText(found.fridgeLowS)} to ${durationText(found.fridgeHighS)})` : ''}. ${found.fridge.words}`,
    `Salt has gone ${found.penetrationMm.toFixed(0)} mm deep by then. ${found.depth.words}`,
    `Weight lost as brine: about ${found.lossPercent} % (${found.lossLowPercent} to ${found.lossHighPercent} %).`,
    found.rinse,
    '',
    'Depth, mm   salt after fridge, %   after bath, %',
    ...found.profile.map(
      (p) =>
        `${p.depthMm.toFixed(1).padStart(9)}${p.afterFridgePercent.toFixed(2).padStart(20)}${(p.afterBathPercent?.toFixed(2) ?? '-').padStart(18)}`,
    ),
    ...found.aromatics.map((a) => `${a.name}: ${a.grams.toFixed(1)} g (${a.percent} %). ${a.caution}`),
    ...[spoon, own].filter((words) => words !== undefined),
    ...(found.nitrite ? [found.nitrite.words, ...found.nitrite.cautions] : []),
    '',
    'Mind:',
    ...[...found.warnings, ...found.cautions.map((c) => c.words)].map((words) => `  - ${words}`),
  ];
  return `${lines.join('\n')}\n`;
}

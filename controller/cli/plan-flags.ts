import { parseArgs } from 'node:util';
import type { JobAsked } from '../../shared/plan/complete.ts';
import type { DishAsked } from '../../shared/plan/complete-dish.ts';
import { PlanFault } from '../../shared/plan/fault.ts';
import { readRequest } from '../../shared/plan/request.ts';
import { type Rig, USUAL_RIG } from '../../shared/plan/rig.ts';
import type { Default } from '../../shared/plan/types.ts';
import type { Night } from '../../shared/plan/zone.ts';
import type { Endpoint } from '../../shared/tender/classes.ts';
import { type FlagReader, flagReader } from './flags.ts';
import { readCures } from './plan-cure.ts';
import { type ConfiguredRig, readRig } from './plan-rig.ts';

/** What `bathkeeper plan --help` prints. */
export const PLAN_HELP = `bathkeeper plan "lamb shoulder, 2 kg, eight people, 19:30"
bathkeeper plan --serve-by 19:30 --cut lamb-shoulder --weight 2kg --thickness 70mm --bath 74C
bathkeeper plan --box --litres 21 --watts 1000 --bath 74C --hours 12h
bathkeeper plan --box --rig simulated --bath 74C

Plans a job backwards from the table to the first handful of salt. Everything not said is taken
from what is usual, and named. --box asks only whether a rig will do it, and how many bags it takes.

  --serve-by TIME       19:30, "2026-07-03 19:30", or an ISO instant
  --zone NAME           IANA time zone (default: this computer's)
  --people N
  --cut ID              cut, by id or words; again for more dishes, with one --weight each
  --weight 2kg          all pieces of a dish together, raw
  --thickness 70mm      of the filled bag at its thickest
  --pieces N            bags of a dish
  --endpoint WORD       sliceable, fork-tender or shreds
  --bath 74C            bath temperature (default: chosen)
  --odds 80%            how sure it has to be
  --start 4C            food as it goes in
  --salt 1.5%           of the raw weight; 0% for no cure
  --cure METHOD         equilibrium (weighed, default) or packed (rinsed)
  --cure-time 12h
  --aromatic ID=0.1%    spice by weight of the meat; again for more
  --curing-salt 5g      with nitrite: for a dish, once a cut; off unless said
  --nitrite 6.25%       its share of nitrite, as its label says
  --from bath|fridge    serve from the bath, or cooked before, chilled and made hot again
  --fridge 4C
  --night 22:00-06:00   hours in which nobody is woken, or none
  --rules ID            conservative, us-food-code or usda-fsis
The rig:
  --litres N --watts N --insulation eps|xps|pu|none --insulation-thickness 30mm
  --lid on|off --fill 12C --room 20C --altitude 1900m --circulation pumped|still
  --film ID --liner ID  materials of bag and box
  --rig KIND            usb, emulated or simulated: the rig that has run here, by the figures the
                        controller has learned of it (instead of a description)
  --data DIR            its data folder (default: that of the configuration)
  --bag-weight 2kg      with --box: of one bag, for how many it takes
  --hours 12h           with --box: how long it is held
  --price N             with --box: money for each kWh
Other:
  --now TIME            instead of the clock (ISO 8601)
  --json                print one JSON document and nothing else
  --help

Exit codes: 0 done, 1 failure, 2 bad input.
`;

/** Where a bath is asked about and none was said, C. */
const USUAL_BATH_C = 74;

const text = { type: 'string' } as const;
const many = { type: 'string', multiple: true } as const;
const flag = { type: 'boolean' } as const;

const OPTIONS = {
  'serve-by': text,
  zone: text,
  people: text,
  cut: many,
  weight: many,
  thickness: many,
  pieces: many,
  endpoint: many,
  bath: text,
  odds: text,
  start: text,
  salt: text,
  cure: text,
  'cure-time': text,
  aromatic: many,
  'curing-salt': many,
  nitrite: text,
  from: text,
  fridge: text,
  night: text,
  rules: text,
  litres: text,
  watts: text,
  insulation: text,
  'insulation-thickness': text,
  lid: text,
  fill: text,
  room: text,
  altitude: text,
  circulation: text,
  film: text,
  liner: text,
  box: flag,
  hours: text,
  price: text,
  rig: text,
  data: text,
  'bag-weight': text,
  now: text,
  json: flag,
  help: flag,
} as const;

/** Flags of `bathkeeper plan` as typed. */
export function parsePlanFlags(argv: string[]) {
  return parseArgs({ args: argv, options: OPTIONS, allowPositionals: true });
}
/** Flags of `bathkeeper plan`, by name. */
export type PlanValues = ReturnType<typeof parsePlanFlags>['values'];
type Values = PlanValues;

/** What the flags ask for: a job, or whether a box will do. */
export type PlanAsked =
  | { readonly kind: 'job'; readonly asked: JobAsked; readonly named: readonly Default[] }
  | {
      readonly kind: 'box';
      readonly rig: Rig;
      readonly bathC: number;
      readonly hours: number;
      readonly price: number | undefined;
      readonly bagKg: number;
    };

/** @throws PlanFault that lists everything that was wrong with the flags */
export function readPlanFlags(
  values: Values,
  positionals: readonly string[],
  clockMs: number,
  configured: ConfiguredRig,
): PlanAsked {
  const reader = flagReader();
  const nowMs = readNow(reader, values.now, clockMs);
  const bathC = reader.quantity('bath', values.bath, 'temperature', 30, 100);
  const rig = readRig(reader, values, configured, bathC ?? USUAL_BATH_C);
  const hours = (reader.quantity('hours', values.hours, 'duration', 0) ?? 12 * 3600) / 3600;
  const price = reader.number('price', values.price, 0, 1e6);
  const bagKg = reader.quantity('bag-weight', values['bag-weight'], 'mass', 0.05, 15) ?? 2;
  if (values.box) {
    throwAny(reader.faults);
    return { kind: 'box', rig: rig ?? USUAL_RIG, bathC: bathC ?? USUAL_BATH_C, hours, price, bagKg };
  }
  const { dishes, serveBy, people } = readDishes(reader, values, positionals);
  const named: Default[] = [];
  const zone = values.zone ?? Intl.DateTimeFormat().resolvedOptions().timeZone;
  if (values.zone === undefined) {
    named.push({ field: 'time zone', value: zone, why: 'That of this computer.', source: '' });
  }
  const asked: JobAsked = {
    nowMs,
    serveBy: serveBy ?? '',
    zone,
    dishes,
    peopleCount: people,
    oddsFraction: reader.quantity('odds', values.odds, 'fraction'),
    bathC,
    rig: rig ?? undefined,
    profileId: values.rules,
    night: readNight(reader, values.night),
    serveFrom: reader.choice('from', values.from, ['bath', 'fridge']),
    fridgeC: reader.quantity('fridge', values.fridge, 'temperature'),
  };
  if (serveBy === null) reader.faults.push('no time to serve by; give --serve-by 19:30.');
  throwAny(reader.faults);
  return { kind: 'job', asked, named };
}

function throwAny(faults: readonly string[]): void {
  if (faults.length > 0) throw new PlanFault(faults);
}

function readNow(reader: FlagReader, now: string | undefined, clockMs: number): number {
  if (now === undefined) return clockMs;
  const ms = Date.parse(now);
  if (Number.isFinite(ms)) return ms;
  reader.faults.push(`--now "${now}" is no time; expected for example 2026-07-02T15:00:00+02:00.`);
  return clockMs;
}

function readNight(reader: FlagReader, night: string | undefined): Night | null | undefined {
  if (night === undefined) return undefined;
  if (night === 'none') return null;
  const m = /^(\d{1,2}):(\d{2})-(\d{1,2}):(\d{2})$/.exec(night);
  const [fromMin, toMin] = m
    ? [Number(m[1]) * 60 + Number(m[2]), Number(m[3]) * 60 + Number(m[4])]
    : [-1, -1];
  if (fromMin >= 0 && fromMin < 1440 && toMin >= 0 && toMin < 1440) return { fromMin, toMin };
  reader.faults.push(`--night "${night}": expected for example 22:00-06:00, or none.`);
  return undefined;
}

function readDishes(reader: FlagReader, values: Values, positionals: readonly string[]) {
  const said = positionals.length > 0 ? readRequest(positionals.join(', ')) : null;
  const cuts = values.cut ?? said?.dishes.map((dish) => dish.cut) ?? [];
  if (cuts.length === 0)
    reader.faults.push('no cut was named; give --cut lamb-shoulder, or say it in words.');
  const per = (name: 'curing-salt' | 'weight' | 'thickness' | 'pieces' | 'endpoint') => {
    const list = values[name] ?? [];
    if (list.length > cuts.length) {
      reader.faults.push(
        `--${name} was given ${list.length} times for ${cuts.length} cuts; give it once a cut.`,
      );
    }
    return list;
  };
  const [weights, thicknesses, pieces, endpoints] = [
    per('weight'),
    per('thickness'),
    per('pieces'),
    per('endpoint'),
  ];
  const cures = readCures(reader, values, per('curing-salt'));
  const startC = reader.quantity('start', values.start, 'temperature');
  const dishes: DishAsked[] = cuts.map((cut, i) => {
    const own = said?.dishes[i];
    return {
      cut,
      massKg: reader.quantity('weight', weights[i], 'mass') ?? own?.massKg,
      thicknessMm: reader.quantity('thickness', thicknesses[i], 'length') ?? own?.thicknessMm,
      piecesCount: reader.number('pieces', pieces[i], 1, 64) ?? own?.piecesCount,
      endpoint: reader.choice<Endpoint>('endpoint', endpoints[i], ['sliceable', 'fork-tender', 'shreds']),
      startC,
      cure: cures(i),
    };
  });
  const people = reader.number('people', values.people, 1, 500) ?? said?.peopleCount ?? undefined;
  return { dishes, serveBy: values['serve-by'] ?? said?.serveBy ?? null, people };
}

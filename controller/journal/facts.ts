import { cutById } from '../../shared/food/cuts.ts';
import { standards } from '../../shared/hazard/standards/index.ts';
import type { BagRow } from '../../shared/wire/record.ts';
import type { ExportPoint } from './export.ts';
import { configFacts } from './facts-config.ts';
import type { CookDetail, RunConfig } from './reader.ts';
import type { Origin } from './record/html.ts';
import type { Measured } from './record/measured.ts';

/** One claim of a record with how it came to be. */
export interface Fact {
  readonly claim: string;
  readonly origin: Origin;
  readonly value: string | number | null;
}

const iso = (ms: number | null) => (ms === null ? null : new Date(ms).toISOString());

/**
 * What an inspector asks of a cook, as plain claims: for the description that goes with a CSV, whose rows have no place
 * for them, and as they changed: each edit of a bag, each other setpoint and configuration with the tick from which it held.
 * What happened in single seconds (commands, edits, alarms, decisions with names, fork tests) stands in the rows' own
 * notes. `head` is the last link of the chain, in hexadecimal.
 */
export function factsOf(
  { detail }: ExportPoint,
  measured: Measured,
  configs: readonly RunConfig[],
  head: string | null,
): Fact[] {
  return [
    ...aboutFacts(detail),
    ...detail.bags.flatMap((bag) => [...bagFacts(bag, measured), ...editFacts(bag, detail)]),
    ...configFacts(configs, detail.cook),
    ...gapFacts(measured),
    fact('SHA-256 chain, last link', 'noted', head),
  ];
}

const fact = (claim: string, origin: Origin, value: Fact['value']): Fact => ({ claim, origin, value });

function aboutFacts({ cook, cookVersions, commands, runs }: CookDetail): Fact[] {
  const people = peopleIn(commands);
  const setpoints = cookVersions.filter(({ row }, n) => row.setpointC !== cookVersions[n - 1]?.row.setpointC);
  return [
    fact('cook', 'noted', cook.cookId),
    fact('people named', 'stated', people.join(', ') || null),
    fact('began', 'noted', iso(cook.startedAtMs)),
    fact('ended', 'noted', iso(cook.endedAtMs)),
    ...setpoints.map(({ sequence, row }) =>
      fact(`setpoint from tick ${sequence}, °C`, 'stated', row.setpointC),
    ),
    fact('code and models', 'noted', [...new Set(runs.map(({ codeVersion }) => codeVersion))].join(', ')),
    fact('firmware of the board', 'noted', cook.firmware ?? null),
  ];
}

/** Everybody who gave a command or is named in one, once each. */
export function peopleIn(commands: CookDetail['commands']): string[] {
  return [...new Set(commands.flatMap(({ command }) => namesIn(command)))];
}

/** Who gave a command, and who is named in it. */
function namesIn(command: CookDetail['commands'][number]['command']): string[] {
  return command.kind === 'decide-outage' ? [command.name, command.by] : [command.by];
}

function bagFacts(bag: BagRow, { lastOf }: Measured): Fact[] {
  const standard = standards.find(({ id }) => id === bag.standardId);
  const last = lastOf.get(bag.bagId);
  const of = (what: string, origin: Origin, value: Fact['value']) =>
    fact(`${bag.bagId}: ${what}`, origin, value);
  return [
    of('label', 'stated', bag.label),
    of('cut', 'stated', cutById(bag.cutId)?.name ?? bag.cutId),
    of('lot', 'stated', bag.lot ?? null),
    of('supplier', 'stated', bag.supplier ?? null),
    of('cure', 'stated', bag.cure ?? null),
    of('weight, kg', 'stated', bag.massKg),
    of('thickness, mm', 'stated', bag.thicknessMm),
    of('temperature going in, °C', 'stated', bag.startC),
    of('in', 'noted', iso(bag.inAtMs)),
    of('out', 'noted', iso(bag.outAtMs)),
    of('lethality standard', 'noted', standard ? `${standard.name}, ${standard.edition}` : bag.standardId),
    of('lethality, worst case, log10', 'modelled', last?.log10 ?? null),
    of('standard met', 'modelled', iso(bag.lethalityMetAtMs)),
    of('growth of C. perfringens, worst case, log10', 'modelled', bag.growthLog10 ?? null),
    ...(bag.broken ?? []).map(({ limit, words, source }) =>
      of(`broken limit, ${limit}`, 'modelled', `${words} (${source})`),
    ),
    of('limits broken', 'modelled', bag.broken?.length ?? null),
    of('core at the end, °C', 'modelled', last?.coreC ?? null),
    ...(bag.chill ? [of('cooling', 'measured', JSON.stringify(bag.chill))] : []),
  ];
}

/** What was said of a bag before, each with the tick from which it held. */
function editFacts({ bagId }: BagRow, { bagVersions }: CookDetail): Fact[] {
  const own = bagVersions.filter(({ row }) => row.bagId === bagId);
  return own.slice(1).flatMap(({ sequence, row }, n) => {
    const before = own[n]?.row;
    return STATED.flatMap(([what, key]) =>
      before === undefined || before[key] === row[key]
        ? []
        : [
            fact(
              `${bagId}: ${what} from tick ${sequence}`,
              'stated',
              `${row[key] ?? 'none'}, before it ${before[key] ?? 'none'}`,
            ),
          ],
    );
  });
}

const STATED = [
  ['label', 'label'],
  ['cut', 'cutId'],
  ['lot', 'lot'],
  ['supplier', 'supplier'],
  ['cure', 'cure'],
  ['weight, kg', 'massKg'],
  ['thickness, mm', 'thicknessMm'],
  ['shape (beta)', 'beta'],
  ['temperature going in, °C', 'startC'],
] as const satisfies readonly (readonly [string, keyof BagRow])[];

function gapFacts({ gaps, untrusted, untrustedSpans, samples }: Measured): Fact[] {
  return [
    fact('samples', 'noted', samples),
    fact('ticks whose wall clock was not trusted', 'noted', untrusted),
    ...untrustedSpans.map(({ fromMs, toMs, fromSequence, throughSequence, ticks }) =>
      fact(
        'wall clock not trusted',
        'noted',
        `ticks ${fromSequence} to ${throughSequence} (${ticks}), by that clock ${iso(fromMs)} to ${iso(toMs)}`,
      ),
    ),
    ...gaps.map(({ kind, fromMs, toMs, reason }) =>
      fact(`gap, ${kind}`, 'noted', `${iso(fromMs)} to ${iso(toMs)}: ${reason}`),
    ),
  ];
}

import { cutById } from '../../shared/food/cuts.ts';
import { limitProfile } from '../../shared/hazard/profiles.ts';
import { standards } from '../../shared/hazard/standards/index.ts';
import { checkConfig } from '../../shared/wire/config.ts';
import type { BagRow } from '../../shared/wire/record.ts';
import type { ExportPoint } from './export.ts';
import type { CookDetail } from './reader.ts';
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
 * for them. What happened in single seconds (commands, edits, alarms, decisions with names, fork tests) stands in the rows' own
 * notes. `head` is the last link of the chain, in hexadecimal.
 */
export function factsOf({ detail }: ExportPoint, measured: Measured, head: string | null): Fact[] {
  return [
    ...aboutFacts(detail),
    ...detail.bags.flatMap((bag) => bagFacts(bag, measured)),
    ...rigFacts(detail),
    ...gapFacts(measured),
    fact('SHA-256 chain, last link', 'noted', head),
  ];
}

const fact = (claim: string, origin: Origin, value: Fact['value']): Fact => ({ claim, origin, value });

function aboutFacts({ cook, commands, runs }: CookDetail): Fact[] {
  const people = peopleIn(commands);
  return [
    fact('cook', 'noted', cook.cookId),
    fact('people named', 'stated', people.join(', ') || null),
    fact('began', 'noted', iso(cook.startedAtMs)),
    fact('ended', 'noted', iso(cook.endedAtMs)),
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
    of('core at the end, °C', 'modelled', last?.coreC ?? null),
    ...(bag.chill ? [of('cooling', 'measured', JSON.stringify(bag.chill))] : []),
  ];
}

function rigFacts({ cook }: CookDetail): Fact[] {
  const checked = checkConfig(JSON.parse(cook.configJson));
  if (!checked.ok) return [fact('configuration', 'stated', cook.configJson)];
  const { rig, profile, kitchen, bath } = checked.config;
  return [
    fact('kitchen', 'stated', kitchen),
    fact('local profile of limits', 'stated', limitProfile(profile).name),
    fact('water, L', 'stated', bath.litres),
    ...rig.probes.map(({ role, rom }) => fact(`probe, ${role}: ROM`, 'stated', rom)),
    ...rig.analogue.map((one) =>
      fact(`probe, ${one.role ?? 'no role'}: analogue pin`, 'stated', `${one.name} (${one.kind})`),
    ),
    ...rig.calibrations.map((one) => fact(`calibration of ${one.rom}`, 'measured', JSON.stringify(one))),
  ];
}

function gapFacts({ gaps, untrusted, samples }: Measured): Fact[] {
  return [
    fact('samples', 'noted', samples),
    fact('ticks whose wall clock was not trusted', 'noted', untrusted),
    ...gaps.map(({ kind, fromMs, toMs, reason }) =>
      fact(`gap, ${kind}`, 'noted', `${iso(fromMs)} to ${iso(toMs)}: ${reason}`),
    ),
  ];
}

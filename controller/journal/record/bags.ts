import { cutById } from '../../../shared/food/cuts.ts';
import { standards } from '../../../shared/hazard/standards/index.ts';
import type { BagRow } from '../../../shared/wire/record.ts';
import type { BagSample } from '../../../shared/wire/rows.ts';
import type { CookDetail } from '../reader.ts';
import { type Cell, degrees, escaped, facts, type Origin, table, utc } from './html.ts';
import type { Measured } from './measured.ts';

/** Each bag: what was said of it, what the models make of it, by which standard; then every version of every bag. */
export function bagSection({ bags, bagVersions, commands }: CookDetail, { lastOf }: Measured): string {
  if (bags.length === 0) return '<p class="none">No bags were put in.</p>\n';
  const parts = bags.map((bag) => `<h3>${oneBag(bag, lastOf.get(bag.bagId))}`);
  const forks = commands.flatMap(({ wallMs, command, result }): Cell[][] =>
    command.kind === 'fork-test' && result.accepted
      ? [[utc(wallMs), command.bagId, command.answer, command.by]]
      : [],
  );
  const edits = bagVersions.map(({ sequence, row }, n): Cell[] => {
    const before = bagVersions.slice(0, n).findLast((one) => one.row.bagId === row.bagId)?.row;
    return [sequence, row.bagId, before ? difference(before, row) : 'first version'];
  });
  const forkTable = table('Fork tests (stated)', ['Time', 'Bag', 'Answer', 'By'], forks);
  return `${parts.join('')}${forkTable}${table('Every version of the bags (noted)', ['Tick', 'Bag', 'What changed'], edits)}`;
}

function oneBag(bag: BagRow, last: BagSample | undefined) {
  const cut = cutById(bag.cutId);
  const standard = standards.find(({ id }) => id === bag.standardId);
  const doubt = standard?.doubt
    ? `; doubt below ${degrees(standard.doubt.belowC)}: ${standard.doubt.words}`
    : '';
  const rule = standard
    ? `${standard.name}, ${standard.edition}; ${standard.organism} in ${standard.food}; figures ${standard.confirmed}${doubt}`
    : bag.standardId;
  const goal = standard ? (standard.targetLog10 ?? 'none published') : null;
  const source = bag.assumed ? 'noted' : 'stated';
  return `${labelled(bag)}</h3>${facts([
    ['Cut', source, cut ? `${cut.name} (composition: ${cut.source})` : bag.cutId],
    ['Weight', source, bag.massKg === null ? null : `${bag.massKg} kg`],
    [
      'Thickness, shape',
      source,
      `${bag.thicknessMm} mm filled bag; beta ${Number(bag.beta.toFixed(3))} (0 slab, 1 cylinder, 2 sphere)`,
    ],
    ['Lot, supplier', 'stated', from(bag)],
    ['Cure', 'stated', bag.cure || null],
    ['Temperature going in', source, degrees(bag.startC)],
    ['Wanted', source, bag.endpoint],
    ['In, out', 'noted', `${utc(bag.inAtMs)} to ${utc(bag.outAtMs) ?? 'still in'}`],
    ['Lethality standard', 'noted', rule],
    ['Log10 aimed at', 'noted', goal],
    ['Lethality, worst case', 'modelled', last ? `${last.log10.toFixed(2)} log10` : null],
    [
      'Standard met',
      'modelled',
      bag.lethalityMetAtMs === null ? 'not met on record' : utc(bag.lethalityMetAtMs),
    ],
    [
      'Growth of C. perfringens, worst case',
      'modelled',
      bag.growthLog10 === undefined ? null : `${bag.growthLog10.toFixed(2)} log10`,
    ],
    ['Limits broken', 'modelled', brokenWords(bag)],
    [
      'Core at the end',
      'modelled',
      last ? `${degrees(last.coreC)}, between ${degrees(last.coldC)} and ${degrees(last.hotC)}` : null,
    ],
    ...(bag.chill ? chillFacts(bag.chill) : []),
  ])}`;
}

/** Each limit that was broken with where it comes from; null where the record does not tell. */
function brokenWords({ broken }: BagRow): string | null {
  if (broken === undefined) return null;
  return broken.map(({ words, source }) => `${words} (${source})`).join(' ') || 'none';
}

/** Cooling, as readings by hand show it, and what became of the bag. */
function chillFacts(chill: NonNullable<BagRow['chill']>): [string, Origin, Cell][] {
  const readings = chill.readings.map(
    ({ atMs, celsius, errorC, by }) => `${utc(atMs)} ${degrees(celsius)} (± ${errorC} K, ${by})`,
  );
  const kept = { true: 'kept', false: 'broken', null: 'not shown' }[`${chill.coolingKept}`];
  const end = chill.outcome === null ? null : `${chill.outcome} at ${utc(chill.endedAtMs)}`;
  return [
    ['Taken out to chill', 'stated', `${utc(chill.startedAtMs)}, ${chill.method}`],
    ['Core while cooling', 'measured', readings.length > 0 ? readings.join('; ') : 'no reading'],
    ['Cooling rule', 'noted', `${kept}, by the readings alone, worst case between them`],
    ['What became of it', 'stated', end],
    ['Fridge, at its warmest', 'stated', degrees(chill.fridgeC)],
    ['Keep until', 'noted', utc(chill.storeUntilMs) ?? 'no date is given'],
  ];
}

/** Lot and supplier as they were written down; null where neither was. */
function from({ lot, supplier }: BagRow): string | null {
  const said = [lot && `lot ${lot}`, supplier && `from ${supplier}`].filter(Boolean);
  return said.length > 0 ? said.join(', ') : null;
}

function labelled(bag: BagRow): string {
  const assumed = bag.assumed ? ' (assumed by the controller: nobody answered)' : '';
  return escaped(`${bag.label}, bag ${bag.bagId}${assumed}`);
}

/** The fields of two versions that differ, in words. */
export function difference(before: object, after: object): string {
  const old = before as Record<string, unknown>;
  const changed = Object.entries(after).flatMap(([name, value]) => {
    if (JSON.stringify(old[name]) === JSON.stringify(value)) return [];
    const words = (one: unknown) =>
      name.endsWith('AtMs') && typeof one === 'number' ? utc(one) : JSON.stringify(one);
    return [`${name}: ${words(old[name])} to ${words(value)}`];
  });
  return changed.join('; ') || 'nothing';
}

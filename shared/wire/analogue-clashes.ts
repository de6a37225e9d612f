import { USUAL_CONVERTER } from './analogue.ts';
import { PROBE_ROLES } from './probe-roles.ts';

/** What of an entry can be told before it has passed its schema. */
interface Entry {
  readonly name: string | null;
  readonly role: string | null;
  readonly kind: string | null;
  readonly junction: string | null;
}

const record = (raw: unknown): Record<string, unknown> =>
  typeof raw === 'object' && raw !== null ? (raw as Record<string, unknown>) : {};
const list = (raw: unknown): unknown[] => (Array.isArray(raw) ? raw : []);
const text = (raw: unknown): string | null => (typeof raw === 'string' ? raw : null);

/**
 * What the probes of a configuration, on the 1-Wire bus and on analogue pins, must not have in common. Judges the
 * document as it was written, so that these faults are told together with those of the single fields.
 * @param raw the whole configuration, whatever it is
 * @returns one line a fault: where, what was found, what was expected, how to mend it
 */
export function analogueClashes(raw: unknown): string[] {
  const rig = record(record(raw).rig);
  const entries = list(rig.analogue).map((one): Entry => {
    const { name, role, kind, coldJunction } = record(one);
    const junction = text(record(coldJunction).probe);
    return { name: text(name), role: text(role), kind: text(kind), junction };
  });
  const roms = list(rig.probes).map((one) => text(record(one).rom));
  return [
    ...entries.flatMap((entry, index) => nameClash(entry, index, entries, roms)),
    ...roleClashes(entries, list(rig.probes)),
    ...entries.flatMap((entry, index) => junctionFaults(entry, index, entries)),
    ...converterFaults(list(rig.analogue).map(record)),
  ];
}

/** What a board has one of, however many pins it has: figures that were left out are the usual ones. */
const ONE_A_BOARD = [
  { field: 'referenceVolts', what: 'reference voltage' },
  { field: 'adcBits', what: 'number of bits' },
] as const;

function converterFaults(entries: readonly Record<string, unknown>[]): string[] {
  return ONE_A_BOARD.flatMap(({ field, what }) => {
    const usual = USUAL_CONVERTER[field];
    const first = entries[0]?.[field] ?? usual;
    const index = entries.findIndex((entry) => (entry[field] ?? usual) !== first);
    if (index < 0) return [];
    const here = JSON.stringify(entries[index]?.[field] ?? usual);
    return [
      `rig.analogue.${index}.${field}: ${here} here and ${JSON.stringify(first)} at rig.analogue.0: expected one ${what}, for a board has one converter; build all circuits for the same`,
    ];
  });
}

function nameClash(
  { name }: Entry,
  index: number,
  entries: readonly Entry[],
  roms: readonly (string | null)[],
): string[] {
  if (name === null) return [];
  const where = `rig.analogue.${index}.name`;
  const before = entries.findIndex((other) => other.name === name);
  const faults: string[] = [];
  if (before < index) {
    faults.push(
      `${where}: ${name} stands at rig.analogue.${before} already: expected one probe a pin; move one of them to a pin of its own`,
    );
  }
  if (roms.includes(name)) {
    faults.push(
      `${where}: ${name} is named in rig.probes too: expected a name for one probe only; take it out of rig.probes, which is for DS18B20`,
    );
  }
  return faults;
}

function roleClashes(entries: readonly Entry[], probes: readonly unknown[]): string[] {
  return PROBE_ROLES.flatMap((role) => {
    const pins = entries
      .filter((entry) => entry.role === role)
      .map((entry) => entry.name ?? 'an unnamed pin');
    const roms = probes
      .map(record)
      .filter((probe) => probe.role === role)
      .map(({ rom }) => text(rom) ?? 'an unnamed probe');
    if (pins.length === 0 || pins.length + roms.length < 2) return [];
    const all = [...roms, ...pins].join(' and ');
    return [`rig.analogue: ${all} are ${role}: expected one probe; leave the role of the others out`];
  });
}

function junctionFaults({ name, junction }: Entry, index: number, entries: readonly Entry[]): string[] {
  if (junction === null || !junction.startsWith('A') || junction.length > 3) return [];
  const where = `rig.analogue.${index}.coldJunction.probe`;
  const mend = 'put a thermistor or a DS18B20 beside the terminals and name it here';
  if (junction === name) {
    return [`${where}: ${junction} is the thermocouple itself: expected the probe at its terminals; ${mend}`];
  }
  const other = entries.find((entry) => entry.name === junction);
  if (!other) {
    return [`${where}: ${junction} is not in rig.analogue: expected one of its pins or a ROM; ${mend}`];
  }
  return other.kind?.startsWith('type') === true
    ? [`${where}: ${junction} is a thermocouple too: expected a probe that needs no cold junction; ${mend}`]
    : [];
}

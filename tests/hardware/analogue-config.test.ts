import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { checkWhole, loadConfig } from '../../controller/cli/config-file.ts';
import { toChildSchema } from '../../controller/rig/usb/talk.ts';
import { ROM } from './rig-bench.ts';

/** Entries as a person would write them. */
const NTC = {
  name: 'A0',
  kind: 'ntc',
  seriesOhms: 2200,
  thermistorTo: 'ground',
  curve: { ohmsAt25: 10_000, betaK: 3435 },
};
const PT100 = { name: 'A1', kind: 'pt100', supplyVolts: 5, seriesOhms: 2200, gain: 40, offsetVolts: -8 };
const TYPE_K = {
  ...{ name: 'A2', kind: 'typeK', gain: 700, offsetVolts: 1.2 },
  coldJunction: { probe: 'A0' },
};

const faultsOf = (analogue: unknown, rig: object = {}): string[] => {
  const checked = checkWhole({ rig: { analogue, ...rig } });
  return checked.ok ? [] : checked.faults;
};

describe('the configuration of analogue probes', () => {
  it('takes each kind, in each form of a curve, with its defaults', () => {
    const points = [
      { celsius: 0, ohms: 27_280 },
      { celsius: 25, ohms: 10_000 },
      { celsius: 85, ohms: 1451 },
    ];
    const all = [
      NTC,
      { ...NTC, name: 'A3', curve: { points } },
      // Coefficients of the 103AT-2, worked out from its table (tests/standards).
      { ...NTC, name: 'A4', curve: { a: 8.81886e-4, b: 2.523843e-4, c: 1.888931e-7 } },
      { ...PT100, role: 'bath' },
      TYPE_K,
      { ...TYPE_K, name: 'A5', kind: 'typeT', coldJunction: { celsius: 25 } },
      { ...TYPE_K, name: 'A6', coldJunction: { probe: ROM.ambient } },
    ];
    expect(faultsOf(all)).toEqual([]);
    const checked = checkWhole({ rig: { analogue: [NTC] } });
    expect(checked.ok && checked.config.rig.analogue[0]).toMatchObject({
      adcBits: 10,
      referenceVolts: 5,
      role: null,
    });
  });

  it('lists every mistake of fields, names, roles and circuits in one go, each with its place, what stood there and how to mend it', () => {
    const folder = mkdtempSync(join(tmpdir(), 'bath-analogue-'));
    const path = join(folder, 'bathkeeper.json');
    const analogue = [
      { ...NTC, name: 'B0', role: 'bath' },
      { ...NTC, role: 'bath', seriesOhms: 'much' },
      { ...NTC, thermistorTo: 'up', curve: { points: [1, 2] } },
      { ...PT100, gain: 200, adcBits: 10.5 },
      { ...PT100, name: 'A4', gain: 400 },
      { ...TYPE_K, kind: 'typeJ' },
      { ...TYPE_K, name: 'A7', coldJunction: { probe: 'A9' }, misspelt: 1 },
    ];
    const probes = [{ rom: ROM.bath, role: 'bath' }];
    writeFileSync(path, JSON.stringify({ port: 99_999, rig: { probes, analogue } }));
    const loaded = loadConfig(path, undefined);
    rmSync(folder, { recursive: true });
    expect(loaded.ok).toBe(false);
    const text = loaded.ok ? '' : loaded.message;
    for (const one of [
      /port: /,
      /analogue\.0\.name: "B0" is no analogue pin: expected A0 to A15, as printed/,
      /analogue\.1\.seriesOhms: "much" stands here: expected 1 to 10000000 ohm; give/,
      /analogue\.2\.thermistorTo: "up": expected ground, supply; the side/,
      /analogue\.2\.curve\.points: expected three rows/,
      /analogue\.2\.name: A0 stands at rig\.analogue\.1 already: expected one probe a pin; move/,
      /analogue\.3\.adcBits: expected whole bits/,
      /analogue\.4\.gain: at 100 °C .* V would stand at the pin.*expected 0 to 100 °C well within; lower gain/,
      /analogue\.5\.kind: kind "typeJ": expected ntc, pt100, typeK or typeT/,
      /analogue\.6: misspelt: not known here, expected kind, name/,
      /analogue\.6\.coldJunction\.probe: A9 is not in rig\.analogue: expected/,
      new RegExp(`analogue: ${ROM.bath} and B0 and A0 are bath: expected one probe`),
    ]) {
      expect(text).toMatch(one);
    }
  });

  it('refuses a name that stands among the DS18B20 too, and a ROM in place of a pin', () => {
    const faults = faultsOf([{ ...NTC, name: ROM.bath }], { probes: [{ rom: ROM.bath, role: 'bath' }] });
    expect(faults.join('\n')).toMatch(/is named in rig\.probes too: expected a name for one probe only/);
    expect(faults.join('\n')).toMatch(/is no analogue pin/);
  });

  // What a circuit gives follows from Ohm's law and the published curves; each of these cannot read a bath.
  it.each([
    [
      'a divider that leaves hot water at its end',
      { ...NTC, seriesOhms: 400_000 },
      /seriesOhms: at 100 °C 0\.01\d V/,
    ],
    ['a thermistor that is warmed by its own current', { ...NTC, seriesOhms: 470 }, /13 mW into the sensor/],
    [
      'rows that are no thermistor',
      {
        ...NTC,
        curve: {
          points: [
            { celsius: 0, ohms: 100 },
            { celsius: 25, ohms: 108 },
            { celsius: 85, ohms: 130 },
          ],
        },
      },
      /curve: resistance must fall/,
    ],
    [
      'a Pt100 straight at the pin',
      { ...PT100, gain: 1, offsetVolts: 0 },
      /gain: 60 °C is read in steps of 6\.\d K/,
    ],
    [
      'a Pt100 that is cooked by its current',
      { ...PT100, seriesOhms: 100, gain: 1.5, offsetVolts: -2 },
      /mW into the sensor/,
    ],
    [
      'an amplifier that cannot reach what boiling asks',
      { ...PT100, outputVolts: { low: 0, high: 3 } },
      /gain: at 100 °C 3\.\d+ V .* shows 0 to 3 V/,
    ],
    [
      'an amplifier without any span',
      { ...PT100, outputVolts: { low: 4, high: 4 } },
      /outputVolts: from 4 to 4 V nothing can be shown/,
    ],
    [
      'a thermocouple without an offset, blind below its terminals',
      { ...TYPE_K, offsetVolts: 0 },
      /offsetVolts: at 0 °C -0\.7\d+ V .*raise offsetVolts/,
    ],
    [
      'a thermocouple hardly amplified',
      { ...TYPE_K, gain: 5, offsetVolts: 1 },
      /gain: 60 °C is read in steps of 2\d\.\d K/,
    ],
    [
      'a thermocouple that is its own cold junction',
      { ...TYPE_K, coldJunction: { probe: 'A2' } },
      /is the thermocouple itself/,
    ],
  ])('refuses %s', (_name, entry, words) => {
    const faults = faultsOf([entry, ...('coldJunction' in entry ? [NTC] : [])]);
    expect(faults.join('\n')).toMatch(words);
  });

  it('refuses two reference voltages or two numbers of bits on one board', () => {
    const faults = faultsOf([
      NTC,
      { ...TYPE_K, referenceVolts: 1.1, gain: 150, offsetVolts: 0.25, adcBits: 12 },
    ]).join();
    expect(faults).toMatch(
      /analogue\.1\.referenceVolts: 1\.1 here and 5 at rig\.analogue\.0: expected one reference voltage/,
    );
    expect(faults).toMatch(
      /analogue\.1\.adcBits: 12 here and 10 at rig\.analogue\.0: expected one number of bits/,
    );
  });

  it('takes the example of its README', () => {
    const paper = readFileSync('controller/rig/analogue/README.md', 'utf8');
    const example = /```json\n([\s\S]*?)```/.exec(paper)?.[1] ?? '';
    const checked = checkWhole(JSON.parse(`{${example}}`));
    expect(checked.ok ? checked.config.rig.analogue : checked.faults).toHaveLength(3);
    expect(checked.ok).toBe(true);
  });

  it('refuses a thermocouple as the cold junction of another', () => {
    const two = [NTC, TYPE_K, { ...TYPE_K, name: 'A3', coldJunction: { probe: 'A2' } }];
    expect(faultsOf(two).join('\n')).toMatch(
      /A2 is a thermocouple too: expected a probe that needs no cold junction/,
    );
  });

  it('is checked once more by the process that holds the port', () => {
    const open = { kind: 'open', path: '/dev/x', wanted: null };
    expect(toChildSchema.safeParse({ ...open, analogue: [NTC] }).success).toBe(true);
    expect(toChildSchema.safeParse({ ...open, analogue: [{ ...NTC, name: 'D7' }] }).success).toBe(false);
    expect(toChildSchema.safeParse(open).success).toBe(false);
  });
});

import { readFileSync } from 'node:fs';
import { parse } from 'csv-parse/sync';
import { describe, expect, it } from 'vitest';
import { layoutSvg } from '../../hardware/wiring/draw/layout.ts';
import { firmwarePins, pinsOf } from '../../hardware/wiring/draw/pins.ts';
import { schematicSvg } from '../../hardware/wiring/draw/schematic.ts';

const read = (name: string) => readFileSync(`hardware/wiring/${name}`, 'utf8');
const schematic = read('schematic.svg');
const layout = read('layout.svg');
const paper = read('README.md');
const sheet = read('commissioning.html');
const partsText = read('parts.csv');
const protocol = readFileSync('hardware/firmware/PROTOCOL.md', 'utf8');

interface Part {
  ref: string;
  part: string;
  rating: string;
  quantity: string;
  variant: string;
  why: string;
}
const parts = parse(partsText, { columns: true }) as Part[];
/** Words of one class in a drawing. */
const wordsOf = (svg: string, kind: string) =>
  [...svg.matchAll(new RegExp(`<text class="${kind}"[^>]*>([^<]*)</text>`, 'g'))].map((match) => match[1]!);
/** Names of parts, such as K1 or RV1, in a text. */
const refsIn = (text: string) => text.match(/\b[A-Z]{1,2}\d{1,2}\b/g) ?? [];
const drawn = new Set(wordsOf(schematic, 'ref').flatMap(refsIn));
const listed = parts.flatMap(({ ref }) => ref.split(' ')).filter((ref) => /^[A-Z]+\d+$/.test(ref));

describe('the schematic', () => {
  it('is what its drawing program draws from the firmware of today', () => {
    expect(schematic).toBe(schematicSvg(firmwarePins()));
    expect(layout).toBe(layoutSvg());
  });

  it('follows the firmware when a pin moves there, and will not be drawn without it', () => {
    const source = readFileSync('hardware/firmware/avr/pinout.h', 'utf8');
    const moved = pinsOf(source.replace('GUARD_BIT PB0', 'GUARD_BIT PB3'));
    expect(moved.GUARD).toBe('D11');
    expect(schematicSvg(moved)).not.toBe(schematic);
    expect(() => pinsOf(source.replace('GUARD_BIT', 'OTHER_BIT'))).toThrow(/GUARD_BIT/);
  });

  it('names the pins that the firmware and its contract use, no more and no fewer', () => {
    const pins = firmwarePins();
    expect(pins).toEqual({
      WIRE: 'D2',
      LEVEL: 'D4',
      REGULATING: 'D7',
      GUARD: 'D8',
      SOUNDER: 'D9',
      LED: 'D13',
    });
    const onBoard = wordsOf(schematic, 'pin').filter((word) => /^D\d+$/.test(word));
    expect(onBoard.sort()).toEqual(Object.values(pins).sort());
    for (const [pin, use] of [
      ['D2', '1-Wire'],
      ['D4', 'level switch'],
      ['D7, D8', 'regulating, guard'],
      ['D9', 'sounder'],
      ['D13', 'activity LED'],
    ]) {
      expect(protocol).toMatch(new RegExp(`^\\| ${pin} \\| ${use}`, 'm'));
    }
  });

  it('has the pull-downs, the pull-up and the series resistors that the firmware asks for', () => {
    expect(readFileSync('hardware/firmware/README.md', 'utf8')).toMatch(/external pull-downs.*10 kohm/s);
    const resistors = Object.fromEntries(
      parts.flatMap(({ ref, rating }) => ref.split(' ').map((one) => [one, rating])),
    );
    expect(resistors.R1).toContain('10 kohm');
    expect(resistors.R2).toContain('10 kohm');
    expect(resistors.R6).toContain('4.7 kohm');
    for (const value of ['10k', '4k7', '680', '220', '1k'])
      expect(wordsOf(schematic, 'small')).toContain(value);
  });

  it('has every protection: RCD, fuse, two switches of two kinds, cut-off with manual reset, earth, stop, battery', () => {
    const words = [
      ...wordsOf(schematic, 'small'),
      ...wordsOf(schematic, 'head'),
      ...wordsOf(schematic, 'danger'),
    ].join(' ');
    for (const one of [
      /RCD \/ GFCI ≤ 30 mA/,
      /Element fuse/,
      /GUARD, contactor/,
      /REGULATING,/,
      /manual/,
      /earthed sheath/,
      /STOP/,
      /5 V with battery/,
      /BARRIER/,
    ]) {
      expect(words).toMatch(one);
    }
    expect(words).toMatch(/MAINS KILLS.*licensed person where the law says so/);
    expect(words).toContain('FOR ATTENDED USE ONLY');
  });

  it('has a title and a description for those who cannot see it', () => {
    for (const svg of [schematic, layout]) {
      expect(svg).toMatch(/role="img" aria-labelledby="t d"/);
      expect(svg).toMatch(/<title id="t">.+<\/title>/);
      expect(svg).toMatch(/<desc id="d">.{60,}<\/desc>/);
    }
  });
});

describe('the bill of materials', () => {
  it('is RFC 4180: CRLF line ends, a header, as many fields in each row, quotes where they must be', () => {
    expect(partsText.endsWith('\r\n')).toBe(true);
    expect(partsText.replaceAll('\r\n', '')).not.toMatch(/[\r\n]/);
    const rows = parse(partsText, { relax_column_count: true }) as string[][];
    expect(rows[0]).toEqual(['ref', 'part', 'rating', 'quantity', 'variant', 'why']);
    for (const row of rows) expect(row).toHaveLength(6);
    for (const cell of rows.flat()) {
      expect(cell.trim()).not.toBe('');
      // A spreadsheet would take these for formulas.
      expect(cell).not.toMatch(/^[=+@]/);
    }
  });

  it('lists every part of the schematic and draws every part of the list', () => {
    expect([...drawn].sort()).toEqual([...new Set(listed)].sort());
    expect(listed.length).toBe(new Set(listed).size);
  });

  it('gives a quantity, a variant and a rating for each', () => {
    for (const { ref, quantity, variant, rating } of parts) {
      expect(Number(quantity), ref).toBeGreaterThan(0);
      expect(['both', 'two-switch'], ref).toContain(variant);
      expect(rating.length, ref).toBeGreaterThan(1);
    }
    const named = parts.filter(({ ref }) => /^([A-Z]+\d+ ?)+$/.test(ref));
    for (const { ref, quantity } of named) expect(ref.split(' ').length, ref).toBe(Number(quantity));
  });

  it('leaves out for one switch what the drawing and the paper leave out', () => {
    const left = parts.filter(({ variant }) => variant === 'two-switch').flatMap(({ ref }) => ref.split(' '));
    for (const ref of ['K1', 'U1', 'V1', 'V2', 'V3', 'R3', 'R4', 'R5', 'S1']) expect(left).toContain(ref);
    for (const ref of ['K2', 'F1', 'F3', 'Q1', 'E1', 'R1']) expect(left).not.toContain(ref);
  });

  it('rates the parts so that the sums of the paper hold', () => {
    const rating = (ref: string) => parts.find((part) => part.ref.split(' ').includes(ref))!.rating;
    // Coil clamp: supply, Zener and diode together stay under the transistor's voltage, with 10 % on both.
    expect(24 * 1.1 + 33 * 1.1 + 1).toBeLessThan(Number(/(\d+) V/.exec(rating('V1'))![1]));
    // Optocoupler: the gate's current against half of the LED's.
    const ledMa = ((5 - 1.2) / 680) * 1000;
    expect(24 / 20).toBeLessThan(0.5 * ledMa);
    expect(ledMa).toBeCloseTo(5.6, 1);
    // Fuses: next size above 1.25 x current, within the conductors' and switches' rating.
    for (const [volts, amperes] of [
      [230, 6.3],
      [120, 12],
    ] as const) {
      expect((1000 / volts) * 1.25).toBeLessThan(amperes);
      expect(rating('F1')).toContain(`${amperes} A for 1 kW at ${volts} V`);
      expect(paper).toContain(`| 1 kW at ${volts} V | ${(1000 / volts).toFixed(1)} A | ${amperes} A slow |`);
      expect(Number(/^(\d+) A/.exec(rating('K2'))![1])).toBeGreaterThan(amperes);
    }
  });
});

describe('the papers of the wiring', () => {
  it('put the cautions before everything else, and say whose work mains is', () => {
    expect(paper.indexOf('Mains kills')).toBeLessThan(paper.indexOf('|'));
    expect(paper).toMatch(/licensed person wherever the law says so/);
    expect(sheet.indexOf('Mains kills')).toBeLessThan(sheet.indexOf('Dead: plug out'));
    expect(sheet).toMatch(/licensed for mains work where the law says so/);
  });

  it('have the pins in the table as the firmware has them', () => {
    const rows = [...paper.matchAll(/^\| (D\d+) \| ([^|]+) \|/gm)].map(
      (match) => `${match[1]} ${match[2]!.trim()}`,
    );
    const pins = firmwarePins();
    expect(rows).toEqual([
      `${pins.WIRE} 1-Wire`,
      `${pins.LEVEL} level switch`,
      `${pins.REGULATING} regulating switch`,
      `${pins.GUARD} guard switch`,
      `${pins.SOUNDER} sounder`,
      `${pins.LED} lamp`,
    ]);
  });

  it('speak only of parts and pins that are drawn', () => {
    const known = new Set([...drawn, ...Object.values(firmwarePins())]);
    for (const [name, text] of [
      ['README.md', paper],
      ['commissioning.html', sheet.replace(/<style>.*<\/style>/s, '')],
      ['layout.svg', [...wordsOf(layout, 'ref'), ...wordsOf(layout, 'small')].join(' ')],
    ] as const) {
      const strangers = refsIn(text).filter((ref) => !known.has(ref) && !['IP54', 'A4', 'X2'].includes(ref));
      expect(strangers, name).toEqual([]);
    }
  });

  it('try each protection in the sheet, and the times are those of the contract', () => {
    for (const one of [
      'Q1',
      'S1',
      'S2',
      'F3',
      'USB',
      'SIGSTOP|kill -s STOP',
      'bath probe',
      'over-temperature',
      'Protective earth',
      'Insulation',
      'Sounder',
      'G2',
      'Guard alone',
      'Regulating alone',
    ]) {
      expect(sheet).toMatch(new RegExp(one));
    }
    // PROTOCOL.md, section 5: level 1.02 s; probe 3.51 s after the last good reading.
    expect(protocol).toMatch(/\| 4 \| levelLow .* 1\.02 s \|/);
    expect(sheet).toMatch(/1\.1 s; trip “level low”/);
    expect(protocol).toMatch(/<= 3\.51 s after the last good reading/);
    expect(sheet).toMatch(/within 3\.6 s; trip/);
  });

  it('are complete in themselves: the sheet asks nothing of the network', () => {
    expect(sheet).not.toMatch(/https?:|<script|<link|<img/);
    for (const name of ['schematic.svg', 'layout.svg', 'parts.csv', 'commissioning.html'])
      expect(paper).toContain(`(${name})`);
  });
});

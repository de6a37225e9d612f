import { describe, expect, it } from 'vitest';
import { addLethality, startLethality } from '../../shared/hazard/lethality.ts';
import { lethalRate } from '../../shared/hazard/lethality-curve.ts';
import { type DzStandard, standardById, standards } from '../../shared/hazard/standards/index.ts';
import { fToC } from '../../shared/units/temperature.ts';
import { publishedRows } from './published.ts';

const dMin = (id: string, celsius: number) => 1 / lethalRate(standardById(id), celsius) / 60;

describe('FDA fish hazards guide (4th edition, from memory, recomputed)', () => {
  for (const [file, id, refC] of [
    ['fda-listeria.csv', 'fda-fish-listeria-6', 70],
    ['fda-botulinum.csv', 'fda-fish-botulinum-np-6', 90],
  ] as const) {
    it(`reproduces every lethal rate and holding time of ${file}`, () => {
      const standard = standardById(id);
      const digit = (cell: string) => 10 ** -(cell.split('.')[1]?.length ?? 0);
      let worstRate = 0;
      let worstMin = 0;
      for (const row of publishedRows(file)) {
        const rate = lethalRate(standard, +row.celsius!);
        const relative = rate / lethalRate(standard, refC);
        worstRate = Math.max(worstRate, Math.abs(relative - +row.lethal_rate!) / digit(row.lethal_rate!));
        // A row printed with three digits was itself worked from the rounded rate: 1 % of it counts as its digit.
        const minuteDigit = Math.max(digit(row.minutes!), +row.minutes! / 100);
        worstMin = Math.max(worstMin, Math.abs(6 / rate / 60 - +row.minutes!) / minuteDigit);
      }
      console.log(
        `${id}: rates within ${worstRate.toFixed(2)}, minutes within ${worstMin.toFixed(2)} of the last printed digit`,
      );
      expect(worstRate).toBeLessThan(1);
      // The printed minutes are from memory; a row or two is a digit off the rate that the same table prints.
      expect(worstMin).toBeLessThan(1.6);
    });
  }

  it('is stricter than the UK table below 90 C and equal to it from 90 C, row by row', () => {
    const uk = standardById('uk-botulinum-np-6');
    const fda = standardById('fda-fish-botulinum-np-6');
    for (const row of publishedRows('uk-botulinum.csv')) {
      const [celsius, minutes] = [+row.celsius!, +row.minutes!];
      expect(6 / lethalRate(uk, celsius) / 60).toBeCloseTo(minutes, 6);
      if (celsius < 85) expect(lethalRate(fda, celsius)).toBe(0);
      else if (celsius < 90) expect(lethalRate(fda, celsius)).toBeLessThan(lethalRate(uk, celsius));
      else expect(6 / lethalRate(fda, celsius) / 60 / minutes).toBeCloseTo(1, 1);
    }
  });

  it('asks no less than the treatments found to stop growth from a million spores (Fernandez & Peck 1997, abstract)', () => {
    const fda = standardById('fda-fish-botulinum-np-6');
    for (const [celsius, minutes] of [
      [85, 36],
      [90, 10],
    ] as const) {
      expect(6 / lethalRate(fda, celsius) / 60).toBeGreaterThanOrEqual(minutes - 1e-9);
    }
    // Their 1072 min at 75 C and 230 min at 80 C lie below the table: nothing is credited there.
    for (const celsius of [75, 80]) expect(lethalRate(fda, celsius)).toBe(0);
  });

  it('earns nothing for C. botulinum from a night at 75 C', () => {
    const standard = standardById('fda-fish-botulinum-np-6');
    expect(addLethality(standard, startLethality(standard), 75, 75, 12 * 3600, 12 * 3600).log10).toBe(0);
  });
});

/** Published D values against the record that stands for them: [product, organism begins with, record, tolerated ratio]. */
const POINTS = [
  ['ground beef', 'C. perfringens', 'perfringens-beef', 1.4],
  ['90 % lean ground beef', 'E. coli', 'ecoli-beef-90lean', 1.45],
  ['lean ground turkey', 'E. coli', 'ecoli-turkey', 1.2],
  ['pork franks', 'Listeria', 'listeria-pork-frank', 1.65],
  ['chicken thigh/leg meat', 'Salmonella', 'salmonella-chicken-thigh', 1.06],
  ['chicken thigh/leg meat', 'Listeria', 'listeria-chicken-thigh', 1.13],
] as const;

describe('published D values', () => {
  const rows = publishedRows('d-values.csv');
  for (const [product, organism, id, tolerated] of POINTS) {
    it(`lie on the line of ${id} as closely as one line can (the scatter is the source's own)`, () => {
      const of = rows.filter((r) => r.product === product && r.organism!.startsWith(organism));
      expect(of.length).toBeGreaterThan(1);
      const ratios = of.map((r) => dMin(id, +r.celsius!) / +r.d_min!);
      const worst = Math.max(...ratios.map((q) => Math.max(q, 1 / q)));
      console.log(`${id} (${of[0]!.source}): ${of.length} points, worst ratio ${worst.toFixed(2)}`);
      expect(worst).toBeLessThan(tolerated);
    });
  }

  it('reproduce the two ends published for C. perfringens in turkey (Juneja & Marmer 1998)', () => {
    expect(dMin('perfringens-turkey', 55)).toBeCloseTo(17.5, 6);
    expect(dMin('perfringens-turkey', 62.5)).toBeCloseTo(1.3, 1);
  });

  it('stand in the records as the AMIF table of 2010 lists them (Tref F, z F, D min)', () => {
    const listed: [string, number, number, number][] = [
      ['salmonella-meat-patty', 150, 10, 0.172],
      ['salmonella-ground-beef-25fat', 140, 14.5, 4.72],
      ['ecoli-beef-25fat', 140, 11.4, 3.39],
      ['ecoli-turkey', 149, 11.7, 0.29],
      ['ecoli-lamb', 149, 12.4, 0.38],
      ['ecoli-pork', 149, 11.7, 0.3],
      ['listeria-beef-2fat', 145, 9.3, 0.6],
      ['listeria-beef-25fat', 140, 12, 4.1],
    ];
    for (const [id, refF, zF, d] of listed) {
      const standard = standardById(id) as DzStandard;
      expect(standard.zC, id).toBeCloseTo(zF / 1.8, 9);
      expect(dMin(id, fToC(refF)), id).toBeCloseTo(d, 9);
    }
  });

  it('credit nothing below and nothing faster above the temperatures they were measured at', () => {
    for (const standard of standards) {
      if (standard.kind !== 'dz') continue;
      const [low, high] = standard.rangeC;
      expect(lethalRate(standard, low - 0.01), standard.id).toBe(0);
      expect(lethalRate(standard, low)).toBeGreaterThan(0);
      expect(lethalRate(standard, high + 10)).toBeCloseTo(lethalRate(standard, high), 12);
    }
  });
});

describe('general method, worked example (American Meat Institute Foundation 2010)', () => {
  const patty = standardById('salmonella-meat-patty') as DzStandard;
  // The worked example counts from 128 F up, below the range this program credits; so the same D and z, wider.
  const wide: DzStandard = { ...patty, id: 'worked-example', rangeC: [0, 80] };
  const rows = publishedRows('general-method.csv').map((r) => ({
    minutes: +r.minutes!,
    celsius: fToC(+r.degF!),
    published: r.f_min === '' ? null : +r.f_min!,
  }));

  it('reproduces every published F value to its printed third decimal by the trapezoid on the lethal rate', () => {
    let f = 0;
    let largest = 0;
    rows.forEach((row, i) => {
      const before = rows[i - 1];
      if (before) {
        const rate = (c: number) => lethalRate(wide, c) * wide.dRefS;
        f += ((rate(before.celsius) + rate(row.celsius)) / 2) * (row.minutes - before.minutes);
      }
      if (row.published !== null) largest = Math.max(largest, Math.abs(f - row.published));
    });
    console.log(`general method: largest deviation ${largest.toFixed(5)} min of F`);
    expect(largest).toBeLessThan(0.00055);
    // The sheet's last four rows are cut off in the public copy; its total of 5.14 log is 0.884 min.
    expect(f / 0.172).toBeLessThan(5.14);
    expect(f / 0.172).toBeGreaterThan(5.0);
  });

  it('credits no more than the trapezoid, because the core is a straight line and the rate curves upward', () => {
    let state = startLethality(wide);
    rows.slice(1).forEach((row, i) => {
      state = addLethality(wide, state, rows[i]!.celsius, row.celsius, 30, row.minutes * 60);
    });
    const f = state.log10 * 0.172;
    expect(f).toBeLessThan(0.8741);
    expect(f).toBeGreaterThan(0.75 * 0.8741);
  });

  it('gives the lethal rate 0.077 at 110 C for Tref 121.11 C and z 10 C (single published point)', () => {
    const sterilising: DzStandard = { ...wide, refC: 121.11, zC: 10, dRefS: 60, rangeC: [90, 130] };
    expect(lethalRate(sterilising, 110) * 60).toBeCloseTo(0.077, 3);
  });
});

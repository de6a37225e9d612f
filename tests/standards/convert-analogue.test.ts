import { describe, expect, it } from 'vitest';
import { boilingReference } from '../../controller/rig/convert/boiling.ts';
import {
  betaBetween,
  curveOfBeta,
  curveThrough,
  ntcCelsius,
  ntcOhms,
  readNtc,
} from '../../controller/rig/convert/ntc.ts';
import { pt100Celsius, pt100Ohms, pt100ToleranceC } from '../../controller/rig/convert/pt100.ts';
import {
  thermocoupleCelsius,
  thermocoupleMillivolts,
  tipCelsius,
} from '../../controller/rig/convert/thermocouple.ts';
import { airPressureKPa } from '../../shared/water/saturation.ts';
import {
  BOILING_BY_HEIGHT,
  BOILING_BY_PRESSURE,
  COLD_JUNCTION,
  NTC_103AT2,
  NTC_B3950,
  NTC_B3974,
  PT100_PRINTED,
  PT100_ROWS,
  PT100_TOLERANCES,
  STEINHART_EXAMPLE,
  STEINHART_GENERIC,
  THERMOCOUPLE_INVERSES,
  THERMOCOUPLE_PRINTED,
  THERMOCOUPLE_ROWS,
} from './convert-figures.ts';

/** Largest deviation over the rows, printed, so that a reader sees how much room the limit leaves. */
function largest(name: string, unit: string, deviations: readonly number[]): number {
  const worst = Math.max(...deviations.map(Math.abs));
  console.log(`${name}: ${deviations.length} rows, largest deviation ${worst.toPrecision(2)} ${unit}`);
  return worst;
}
const row = (celsius: number) => {
  const found = NTC_103AT2.find(([c]) => c === celsius)!;
  return { celsius, ohms: found[1] * 1000 };
};

describe('an NTC thermistor', () => {
  it('follows a worked example of Steinhart and Hart to its coefficients and back through its three points', () => {
    const curve = curveThrough(STEINHART_EXAMPLE.points);
    for (const name of ['a', 'b', 'c'] as const)
      expect(curve[name] / STEINHART_EXAMPLE[name]).toBeCloseTo(1, 7);
    for (const { celsius, ohms } of STEINHART_EXAMPLE.points)
      expect(ntcCelsius(curve, ohms)).toBeCloseTo(celsius, 9);
  });

  it('takes the three points in any order', () => {
    const [p, q, r] = STEINHART_EXAMPLE.points;
    expect(curveThrough([r, p, q])).toEqual(curveThrough([p, q, r]));
  });

  it('reproduces the rows of a commonly given curve of a 10 kOhm part', () => {
    const off = STEINHART_GENERIC.rows.map(
      ([ohms, celsius]) => ntcCelsius(STEINHART_GENERIC.curve, ohms) - celsius,
    );
    expect(largest('Steinhart-Hart, generic 10k', 'C', off)).toBeLessThan(0.006);
  });

  it('follows the 103AT-2 table within 0.04 degrees from 0 to 100 degrees C by three of its points', () => {
    const curve = curveThrough([row(0), row(25), row(85)]);
    const rows = NTC_103AT2.filter(([c]) => c >= 0 && c <= 100);
    const off = rows.map(([c, kOhm]) => ntcCelsius(curve, kOhm * 1000) - c);
    expect(largest('NTC 103AT-2 by three points, 0 to 100 C', 'C', off)).toBeLessThan(0.04);
    expect(curve.a / 8.81886006e-4).toBeCloseTo(1, 6);
    expect(curve.b / 2.52384279e-4).toBeCloseTo(1, 6);
    expect(curve.c / 1.88893101e-7).toBeCloseTo(1, 5);
  });

  it('reproduces every row of the 103AT-2 table, also far outside the three points, within 0.4 degrees', () => {
    const curve = curveThrough([row(0), row(25), row(85)]);
    const off = NTC_103AT2.map(([c, kOhm]) => ntcCelsius(curve, kOhm * 1000) - c);
    expect(largest('NTC 103AT-2 by three points, -50 to 110 C', 'C', off)).toBeLessThan(0.4);
  });

  it("has the part's printed beta between 25 and 85 degrees C, and is off by a degree with beta alone", () => {
    const beta = betaBetween(row(25), row(85));
    expect(Math.abs(beta - 3435)).toBeLessThan(1);
    expect(betaBetween(row(25), row(50))).toBeCloseTo(3380.1, 0);
    const curve = curveOfBeta(row(25), 3435);
    const at = (c: number) => ntcCelsius(curve, row(c).ohms) - c;
    expect(at(0)).toBeCloseTo(1.1, 1);
    expect(at(60)).toBeCloseTo(-0.42, 1);
    expect(at(100)).toBeCloseTo(0.58, 1);
  });

  for (const [name, table, beta, limit] of [
    ['beta 3974 (generated table)', NTC_B3974, 3974, 0.001],
    ['beta 3950 (recomputed)', NTC_B3950, 3950, 0.0001],
  ] as const) {
    it(`reproduces every row of the table for ${name}`, () => {
      const curve = curveOfBeta({ celsius: 25, ohms: 10_000 }, beta);
      const off = table.map(([c, ohms]) => ntcOhms(curve, c) / ohms - 1);
      expect(largest(`NTC ${name}`, 'of the resistance', off)).toBeLessThan(limit);
    });
  }

  it('goes from degrees to ohms and back to the last digits over its whole range', () => {
    for (const curve of [curveThrough([row(0), row(25), row(85)]), curveOfBeta(row(25), 3435)]) {
      for (let c = -40; c <= 125; c += 2.5) expect(ntcCelsius(curve, ntcOhms(curve, c))).toBeCloseTo(c, 9);
    }
  });

  it('reads the same temperature from a divider whichever side the thermistor is on', () => {
    const curve = curveThrough([row(0), row(25), row(85)]);
    const base = { curve, seriesOhms: 4700, fullScale: 1023 };
    for (let c = 0; c <= 100; c += 5) {
      const ohms = ntcOhms(curve, c);
      const code = (1023 * ohms) / (ohms + 4700);
      expect(readNtc(code, { ...base, thermistorTo: 'ground' }).celsius).toBeCloseTo(c, 6);
      expect(readNtc(1023 - code, { ...base, thermistorTo: 'supply' }).celsius).toBeCloseTo(c, 6);
    }
  });

  it('gives no number for a broken wire, a short, a value no water has, or a code that cannot be', () => {
    const divider = {
      curve: curveThrough([row(0), row(25), row(85)]),
      seriesOhms: 4700,
      fullScale: 1023,
      thermistorTo: 'ground',
    } as const;
    for (const [code, quality, word] of [
      [1023, 'open', 'open'],
      [0, 'shorted', 'shorted'],
      [1017, 'range', 'outside'],
      [60, 'range', 'outside'],
      [Number.NaN, 'range', 'NaN'],
      [1024, 'range', '1023'],
    ] as const) {
      const read = readNtc(code, divider);
      expect(read).toMatchObject({ celsius: null, quality });
      expect(read.why).toContain(word);
    }
  });

  it('refuses points that are not those of a falling resistance, and a beta no part has', () => {
    expect(() => curveThrough([row(0), row(25), row(25)])).toThrow(/must fall/);
    expect(() => curveThrough([row(0), { celsius: 25, ohms: 40_000 }, row(85)])).toThrow(/must fall/);
    expect(() => curveThrough([row(0), { celsius: 25, ohms: -1 }, row(85)])).toThrow(/above 0/);
    expect(() => curveThrough([row(0), { celsius: 25, ohms: 2000 }, row(85)])).toThrow(/do not lie/);
    expect(() => curveOfBeta(row(25), 34)).toThrow(/3000 to 4500/);
    expect(() => ntcCelsius(curveOfBeta(row(25), 3435), 0)).toThrow(/above 0 ohm/);
  });
});

describe('a platinum thermometer (IEC 60751)', () => {
  it('has the resistance of every row of the table, and the temperature of every resistance', () => {
    const ohms = PT100_ROWS.map(([c, r]) => pt100Ohms(c) - r);
    const back = PT100_ROWS.map(([c, r]) => pt100Celsius(r) - c);
    expect(largest('Pt100 ohm', 'ohm', ohms)).toBeLessThan(0.5e-4 + 1e-9);
    expect(largest('Pt100 inverse', 'C', back)).toBeLessThan(2e-4);
    for (const [c, r] of PT100_PRINTED) expect(Math.abs(pt100Ohms(c) - r)).toBeLessThanOrEqual(0.005 + 1e-9);
  });

  it('goes back and forth to the last digits from -200 to 850 degrees C, for 100 and 1000 ohm', () => {
    for (const ohmsAt0 of [100, 1000]) {
      for (let c = -200; c <= 850; c += 5)
        expect(pt100Celsius(pt100Ohms(c, ohmsAt0), ohmsAt0)).toBeCloseTo(c, 8);
    }
  });

  it('has the tolerances of classes A and B at 0, 100 and 200 degrees C', () => {
    for (const [c, classA, classB] of PT100_TOLERANCES) {
      expect(pt100ToleranceC('A', c)).toBeCloseTo(classA, 9);
      expect(pt100ToleranceC('B', c)).toBeCloseTo(classB, 9);
      expect(pt100ToleranceC('AA', c)).toBeLessThan(classA);
      expect(pt100ToleranceC('C', -c)).toBeCloseTo(2 * classB, 9);
    }
  });

  it('refuses what is no such thermometer with the values it expected', () => {
    for (const ohms of [0, 18, 400, Number.NaN, Number.POSITIVE_INFINITY]) {
      expect(() => pt100Celsius(ohms)).toThrow(/18\.52 to 390\.48/);
    }
    expect(() => pt100Ohms(851)).toThrow(/-200 to 850/);
  });
});

describe('a thermocouple (ITS-90)', () => {
  for (const [type, column] of [
    ['K', 1],
    ['T', 2],
  ] as const) {
    it(`of type ${type} has the voltage of every row of the tables`, () => {
      const off = THERMOCOUPLE_ROWS.map((one) => thermocoupleMillivolts(type, one[0]) - one[column]);
      expect(largest(`type ${type}`, 'mV', off)).toBeLessThan(0.6e-4);
      for (const one of THERMOCOUPLE_PRINTED) {
        expect(Math.abs(thermocoupleMillivolts(type, one[0]) - one[column])).toBeLessThanOrEqual(
          0.0005 + 1e-9,
        );
      }
    });

    it(`of type ${type} comes back from its voltage to a millionth of a degree over its whole range`, () => {
      const top = type === 'K' ? 1372 : 400;
      let worst = 0;
      for (let c = -200; c <= top; c += 1) {
        worst = Math.max(worst, Math.abs(thermocoupleCelsius(type, thermocoupleMillivolts(type, c)) - c));
      }
      console.log(`type ${type} there and back: largest deviation ${worst.toPrecision(2)} C`);
      expect(worst).toBeLessThan(1e-6);
    });

    it(`of type ${type} is read through its terminals' own voltage (cold junction)`, () => {
      const { tipC, terminalsC } = COLD_JUNCTION;
      expect(tipCelsius(type, COLD_JUNCTION[type], terminalsC)).toBeCloseTo(tipC, 3);
      expect(tipCelsius(type, 0, 21.5)).toBeCloseTo(21.5, 8);
      // A hut in winter: terminals below zero.
      const mv = thermocoupleMillivolts(type, 68) - thermocoupleMillivolts(type, -12);
      expect(tipCelsius(type, mv, -12)).toBeCloseTo(68, 8);
      // Adding temperatures instead of voltages would be wrong by this much: the check can tell.
      expect(Math.abs(thermocoupleCelsius(type, COLD_JUNCTION[type]) + terminalsC - tipC)).toBeGreaterThan(
        0.3,
      );
    });
  }

  for (const { type, fromC, toC, errorC, c } of THERMOCOUPLE_INVERSES) {
    it(`of type ${type} agrees with NIST's approximate inverse from ${fromC} to ${toC} degrees C within its ${errorC} degrees`, () => {
      const off: number[] = [];
      for (let celsius = fromC; celsius <= toC; celsius += 1) {
        const mv = thermocoupleMillivolts(type, celsius);
        const approximate = [...c].reduceRight((inner: number, one) => inner * mv + one, 0);
        off.push(thermocoupleCelsius(type, mv) - approximate);
      }
      expect(largest(`type ${type} against NIST's inverse`, 'C', off)).toBeLessThan(errorC + 0.005);
    });
  }

  it('refuses a voltage outside its range and says what to look for', () => {
    expect(() => thermocoupleCelsius('K', 60)).toThrow(/reversed leads/);
    expect(() => thermocoupleCelsius('T', -6)).toThrow(/-5\.603/);
    expect(() => thermocoupleCelsius('T', Number.NaN)).toThrow(RangeError);
    expect(() => thermocoupleMillivolts('T', 401)).toThrow(/400/);
  });
});

describe('the boiling point', () => {
  it('against height is that of the standard atmosphere and the saturation line, row by row', () => {
    const off = BOILING_BY_HEIGHT.map(([m, , c]) => boilingReference({ altitudeM: m }).celsius - c);
    const pressure = BOILING_BY_HEIGHT.map(([m, pa]) => airPressureKPa(m) * 1000 - pa);
    expect(largest('boiling point against height', 'C', off)).toBeLessThan(0.002);
    expect(largest('air pressure against height', 'Pa', pressure)).toBeLessThan(1);
  });

  it('against pressure is that of the saturation line, row by row', () => {
    const off = BOILING_BY_PRESSURE.map(([kPa, c]) => boilingReference({ pressureKPa: kPa }).celsius - c);
    expect(largest('boiling point against pressure', 'C', off)).toBeLessThan(0.002);
  });

  it('is known much better with a barometer than from the height alone', () => {
    expect(boilingReference({ altitudeM: 0 }).limitC).toBeCloseTo(0.84, 1);
    expect(boilingReference({ pressureKPa: 101.325 }).limitC).toBeCloseTo(0.083, 2);
    expect(boilingReference({ altitudeM: 2250 }).limitC).toBeGreaterThan(
      boilingReference({ altitudeM: 0 }).limitC,
    );
  });
});

import { describe, expect, it } from 'vitest';
import { dryAirDensity, humidityRatio, moistAirDensity } from '../../shared/water/air.ts';
import { liquidHeatJKg, liquidSpecificHeat } from '../../shared/water/liquid.ts';
import {
  airPressureKPa,
  boilingPointC,
  latentHeatJKg,
  liquidDensity,
  saturationPressureKPa,
  saturationSlopeKPaK,
  vapourDensity,
} from '../../shared/water/saturation.ts';
import { convectionFilm, radiationFilm } from '../../shared/water/surface.ts';
import {
  quickDensity,
  quickLatentJKg,
  quickSaturationKPa,
  quickSpecificHeat,
} from '../../shared/water/table.ts';

// IAPWS-IF97, liquid at 101.325 kPa, saturation columns at T:
// T in C, p_sat kPa, rho kg/m3, cp kJ/(kg K), h_fg kJ/kg, h kJ/kg, rho of the vapour kg/m3.
const IF97 = [
  [0.01, 0.61166, 999.845, 4.2194, 2500.91, 0.001, 0.00485],
  [10, 1.22818, 999.702, 4.1954, 2477.21, 42.021, 0.00941],
  [20, 2.33921, 998.206, 4.1848, 2453.55, 83.92, 0.01731],
  [30, 4.24669, 995.652, 4.18, 2429.84, 125.745, 0.03041],
  [40, 7.38443, 992.224, 4.1786, 2406.0, 167.541, 0.05124],
  [50, 12.35127, 988.047, 4.1796, 2381.97, 209.336, 0.08314],
  [60, 19.9458, 983.211, 4.1828, 2357.69, 251.154, 0.13042],
  [70, 31.20064, 977.779, 4.1881, 2333.08, 293.018, 0.19842],
  [75, 38.59536, 974.857, 4.1915, 2320.63, 313.974, 0.24218],
  [80, 47.41472, 971.803, 4.1955, 2308.07, 334.949, 0.29366],
  [90, 70.18236, 965.319, 4.205, 2282.56, 376.968, 0.42388],
  [100, 101.41798, 958.354, 4.2166, 2256.47, 419.099, 0.59814],
] as const;

/** Relative difference, without sign. */
const off = (ours: number, published: number): number => Math.abs(ours / published - 1);

describe('water on its saturation line', () => {
  it.each(IF97)('agrees with IAPWS-IF97 at %d C', (celsius, pressure, rho, cp, latent, _h, vapour) => {
    expect(off(saturationPressureKPa(celsius), pressure)).toBeLessThan(1.5e-4);
    expect(Math.abs(liquidDensity(celsius) - rho)).toBeLessThan(0.07);
    expect(Math.abs(vapourDensity(celsius) - vapour)).toBeLessThan(6e-5);
    expect(off(latentHeatJKg(celsius) / 1000, latent)).toBeLessThan(2.5e-4);
    expect(liquidSpecificHeat(celsius) / 1000).toBeCloseTo(cp, 3);
  });

  it('reproduces the check values printed in IAPWS SR1-86 (from memory)', () => {
    expect(saturationPressureKPa(0.01)).toBeCloseTo(0.611657, 6);
    expect(saturationPressureKPa(373.1243 - 273.15)).toBeCloseTo(101.325, 3);
    expect(liquidDensity(0.01)).toBeCloseTo(999.789, 3);
    expect(liquidDensity(373.1243 - 273.15)).toBeCloseTo(958.365, 3);
    expect(vapourDensity(0.01)).toBeCloseTo(0.00485426, 8);
    expect(vapourDensity(373.1243 - 273.15)).toBeCloseTo(0.597586, 6);
  });

  it('has the verification pressure of IAPWS-IF97 region 4 at 300 K, 3.53658941 kPa', () => {
    expect(saturationPressureKPa(26.85)).toBeCloseTo(3.53658941, 3);
  });

  it('gives the slope that a difference quotient of the pressure gives', () => {
    for (const c of [5, 40, 75, 99]) {
      const quotient = (saturationPressureKPa(c + 0.01) - saturationPressureKPa(c - 0.01)) / 0.02;
      expect(saturationSlopeKPaK(c)).toBeCloseTo(quotient, 5);
    }
  });

  // ISO 2533 / ICAO standard atmosphere and IF97 saturation temperature: altitude m, Pa, boiling point C.
  it.each([
    [0, 101325.0, 99.974],
    [500, 95460.9, 98.313],
    [1000, 89874.8, 96.649],
    [1609.344, 83427.9, 94.619],
    [2000, 79495.5, 93.315],
    [3000, 70109.0, 89.972],
    [5000, 54020.5, 83.255],
  ])('boils at %d m where the standard atmosphere and IF97 say', (altitude, pascal, boils) => {
    expect(airPressureKPa(altitude)).toBeCloseTo(pascal / 1000, 2);
    expect(boilingPointC(pascal / 1000)).toBeCloseTo(boils, 2);
  });

  it('refuses what lies outside the formulas, and says what was expected', () => {
    expect(() => saturationPressureKPa(400)).toThrow(/between -50 and 373 C/);
    expect(() => saturationPressureKPa(Number.NaN)).toThrow(RangeError);
    expect(() => boilingPointC(0)).toThrow(/between 1 and 1000 kPa/);
    expect(() => airPressureKPa(20_000)).toThrow(/between -500 and 11000 m/);
  });

  it('reads the quick table within 0.02 % of the formulas from 0 to 110 C, and never gives a non-number', () => {
    for (let c = 0; c < 110; c += 0.137) {
      expect(Math.abs(quickSaturationKPa(c) / saturationPressureKPa(c) - 1)).toBeLessThan(2e-4);
      expect(Math.abs(quickDensity(c) / liquidDensity(c) - 1)).toBeLessThan(2e-6);
      expect(Math.abs(quickLatentJKg(c) / latentHeatJKg(c) - 1)).toBeLessThan(2e-6);
      expect(Math.abs(quickSpecificHeat(c) / liquidSpecificHeat(c) - 1)).toBeLessThan(2e-4);
    }
    for (const c of [Number.NaN, Number.POSITIVE_INFINITY, Number.NEGATIVE_INFINITY, 1e9, -1e9]) {
      expect(Number.isFinite(quickSaturationKPa(c))).toBe(true);
    }
  });
});

describe('heat in liquid water', () => {
  it('adds up to the IF97 enthalpy differences within 0.03 %', () => {
    for (const [celsius, , , , , enthalpy] of IF97.slice(1)) {
      expect(off(liquidHeatJKg(0.01, celsius) / 1000, enthalpy)).toBeLessThan(3e-4);
    }
  });

  it('takes 3760 kJ for 20 L from 15 to 60 C, 2506.7 s at 1500 W (worked with IF97)', () => {
    const joules = (20 / 1000) * liquidDensity(15) * liquidHeatJKg(15, 60);
    expect(off(joules / 1000, 3760.0)).toBeLessThan(2e-4);
    expect(off(joules / 1500, 2506.7)).toBeLessThan(2e-4);
  });

  it('gives back on cooling what it took on warming', () => {
    expect(liquidHeatJKg(74, 12)).toBeCloseTo(-liquidHeatJKg(12, 74), 3);
  });
});

describe('moist air', () => {
  // ASHRAE Handbook Fundamentals, Psychrometrics, table of saturated moist air at 101.325 kPa (from memory):
  // 20 C: W 0.014758 kg/kg, v 0.8497 m3/kg dry air; 40 C: W 0.049141, v 0.9575. Perfect gas: within 0.7 %.
  it.each([
    [20, 0.014758, 0.8497],
    [40, 0.049141, 0.9575],
  ])('is within 0.7 %% of the ASHRAE saturated-air table at %d C', (celsius, ratio, volume) => {
    const vapour = saturationPressureKPa(celsius);
    expect(off(humidityRatio(vapour), ratio)).toBeLessThan(0.007);
    expect(off(1 / dryAirDensity(celsius, vapour), volume)).toBeLessThan(0.007);
  });

  it('is lighter when damp, and dry air at 20 C weighs 1.204 kg/m3 (common handbook value, from memory)', () => {
    expect(moistAirDensity(20, 0)).toBeCloseTo(1.204, 3);
    expect(moistAirDensity(20, 2.3)).toBeLessThan(moistAirDensity(20, 0));
  });
});

describe('dry heat from the open surface', () => {
  // Nu = 0.54 Ra^(1/4) at L = 0.05 m, air 20 C (worked with handbook air properties): W/(m2 K).
  it.each([
    [30, 5.2],
    [40, 6.2],
    [60, 7.3],
  ])('convects %d C against 20 C at %d W/(m2 K) within 2 %%', (celsius, film) => {
    expect(off(convectionFilm(celsius, 20, 0.05), film)).toBeLessThan(0.02);
  });

  it('radiates 6.64 W/(m2 K) at 60 against 20 C and 5.69 at 40 against 20 C with emissivity 0.9', () => {
    expect(radiationFilm(60, 20)).toBeCloseTo(6.64, 2);
    expect(radiationFilm(40, 20, 0.9)).toBeCloseTo(5.69, 2);
  });
});

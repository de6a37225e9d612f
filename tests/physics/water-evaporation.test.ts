import { describe, expect, it } from 'vitest';
import {
  carrierRate,
  evaporationCarrier,
  evaporationShah,
  shahRate,
} from '../../shared/water/evaporation.ts';
import { latentHeatJKg, saturationPressureKPa } from '../../shared/water/saturation.ts';

// Room 20 C, 50 % humidity, still; both published equations worked with IF97 pressures, independently of this
// code: water C, Carrier kg/(m2 h), Shah kg/(m2 h), Carrier W/m2, Shah W/m2, Shah's floor kg/(m2 h).
const WORKED = [
  [30, 0.4057, 0.2924, 273.9, 197.4, 0.1539],
  [40, 0.8276, 0.7131, 553.1, 476.6, 0.3107],
  [50, 1.5041, 1.4317, 995.2, 947.3, 0.5591],
  [55, 1.9728, 1.9489, 1298.7, 1283.0, 0.7296],
  [60, 2.5516, 2.603, 1671.1, 1704.7, 0.9388],
  [65, 3.261, 3.4233, 2124.6, 2230.3, 1.1936],
  [70, 4.1241, 4.444, 2672.8, 2880.1, 1.5016],
  [80, 6.4196, 7.2523, 4115.8, 4649.7, 2.3123],
  [90, 9.6872, 11.4266, 6142.1, 7245.0, 3.4506],
] as const;

describe('evaporation from an open bath', () => {
  it.each(WORKED)('follows both published correlations at %d C', (waterC, carrier, shah, carrierW, shahW) => {
    const surface = { waterC, airC: 20, relativeHumidity: 0.5 };
    expect(evaporationCarrier(surface, 0) / carrier).toBeCloseTo(1, 3);
    expect(evaporationShah(surface) / shah).toBeCloseTo(1, 3);
    expect((evaporationCarrier(surface, 0) * latentHeatJKg(waterC)) / 3600 / carrierW).toBeCloseTo(1, 3);
    expect((evaporationShah(surface) * latentHeatJKg(waterC)) / 3600 / shahW).toBeCloseTo(1, 3);
  });

  it('gives the rounded factor of the ASHRAE natatorium equation, 4e-5 kg/(s m2 kPa), at 0.10 m/s', () => {
    // ASHRAE HVAC Applications: w = 4e-5 A (pw - pa) Fa; 4.16e-5 before rounding, with Y = 2330 kJ/kg.
    expect(carrierRate(1, 0.1, 2.33e6) / 3600).toBeCloseTo(4.16e-5, 7);
  });

  it('uses the coefficients of the ASHRAE text in its own units: 95 + 0.425 v, lb, ft, inHg, Btu', () => {
    // 1 inHg = 3.38639 kPa, 1 Btu/lb = 2.326 kJ/kg, 1 lb/(ft2 h) = 4.88243 kg/(m2 h), 1 ft/min = 0.00508 m/s.
    for (const feetMin of [0, 20, 100]) {
      const poundsFt2h = (95 + 0.425 * feetMin) / 1000;
      const ours = carrierRate(3.38639, feetMin * 0.00508, 1000 * 2326);
      expect(Math.abs(ours / (poundsFt2h * 4.88243) - 1)).toBeLessThan(0.01);
    }
  });

  it('never falls under the floor of the published method, and meets it where nothing lifts', () => {
    for (const [waterC, , , , , floor] of WORKED) {
      expect(evaporationShah({ waterC, airC: 20, relativeHumidity: 0.5 })).toBeGreaterThan(floor);
    }
    // Water colder than the room by enough that the air on it is heavier: only the floor is left.
    const cold = evaporationShah({ waterC: 18, airC: 30, relativeHumidity: 0.1 });
    const floor = 0.05 * (saturationPressureKPa(18) - 0.1 * saturationPressureKPa(30));
    expect(cold).toBeCloseTo(floor, 6);
  });

  it('never gives water back, and stays finite at and beyond boiling', () => {
    expect(evaporationShah({ waterC: 5, airC: 35, relativeHumidity: 0.9 })).toBe(0);
    expect(evaporationCarrier({ waterC: 5, airC: 35, relativeHumidity: 0.9 }, 1)).toBe(0);
    const pressureKPa = 80.5;
    const boiling = shahRate(93.6, saturationPressureKPa(93.6), 16, 0.9, pressureKPa);
    expect(boiling).toBeGreaterThan(10);
    expect(Number.isFinite(shahRate(120, 198, 16, 0.9, pressureKPa))).toBe(true);
  });

  it('loses about 0.15 L an hour and 100 W from 0.06 m2 at 60 C', () => {
    const rate = evaporationShah({ waterC: 60, airC: 20, relativeHumidity: 0.5 }) * 0.06;
    expect(rate).toBeCloseTo(0.156, 2);
    expect((rate * latentHeatJKg(60)) / 3600).toBeCloseTo(102, 0);
  });
});

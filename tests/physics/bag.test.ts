import { describe, expect, it } from 'vitest';
import { ballastToSinkKg, lieOf, STEEL_DENSITY, STONE_DENSITY } from '../../shared/bag/buoyancy.ts';
import { mostBags, roomFor, sealWindow } from '../../shared/bag/displacement.ts';
import { dryAirMol, GAS_CONSTANT, gasGrowth, gasVolumeMl } from '../../shared/bag/gas.ts';
import { ceilingOf, MATERIALS, materialOf } from '../../shared/bag/materials.ts';
import { airPressureKPa } from '../../shared/water/saturation.ts';

describe('air trapped in a bag', () => {
  // Ideal gas with saturated vapour, from 20 C at standard pressure (worked independently with IF97 pressures).
  it.each([
    [60, 1.38],
    [65, 1.5],
    [70, 1.65],
    [75, 1.87],
    [80, 2.21],
    [85, 2.78],
  ])('swells by %d C to the worked ratio', (bathC, ratio) => {
    expect(gasGrowth(20, bathC)).toBeCloseTo(ratio, 2);
  });

  it('counts the dry gas of a gas collected over water as the textbook does', () => {
    // 310.0 mL over water at 738 mmHg and 20.0 C, vapour pressure 17.54 mmHg (general chemistry course of Iowa
    // State University, "Collecting a gas over water"): dry gas at 738 - 17.54 = 720.5 mmHg.
    const kPa = 101.325 / 760;
    const dryKPa = 720.5 * kPa;
    expect(dryAirMol(310, 20, 738 * kPa)).toBeCloseTo((0.31 * dryKPa) / (GAS_CONSTANT * 293.15), 5);
  });

  it('keeps its volume where nothing changes, shrinks under water and swells on a mountain', () => {
    const mol = dryAirMol(100, 20);
    expect(gasVolumeMl(mol, 20)).toBeCloseTo(100, 9);
    // 10.33 m of cold water is one atmosphere (common figure): the dry air halves, near enough.
    expect(gasVolumeMl(mol, 20, 101.325, 10.33)).toBeCloseTo(49.4, 0);
    expect(gasGrowth(10, 74, airPressureKPa(1900))).toBeGreaterThan(gasGrowth(10, 74));
  });

  it('has no bound at boiling and says so', () => {
    expect(gasVolumeMl(dryAirMol(1, 20), 100.5)).toBe(Number.POSITIVE_INFINITY);
    expect(gasVolumeMl(0, 100.5)).toBe(0);
  });
});

describe('floating and sinking', () => {
  it('weighs a gold crown in water as the worked textbook problem does: 14.0 N in air, 13.3 N in water', () => {
    const crown = { foodKg: 14 / 9.8, foodDensity: 19_300, ballastKg: 0, gasMl: 0, waterC: 4 };
    expect(-lieOf(crown).netLiftKg * 9.8).toBeCloseTo(13.3, 1);
    expect(lieOf(crown).afloat).toBe(false);
  });

  it('floats ice with 0.917 of it under fresh water (ratio of the densities, textbook)', () => {
    const ice = { foodKg: 100, foodDensity: 917, ballastKg: 0, gasMl: 0, waterC: 4 };
    expect(lieOf(ice).afloat).toBe(true);
    expect(lieOf(ice).submergedFraction).toBeCloseTo(0.917, 3);
  });

  // Cold air a kilogram of meat carries before it floats at 75 C, worked from Archimedes and the expansion ratio.
  it.each([
    ['lean', 1060, 45],
    ['fatty', 1000, 14],
  ])('floats %s meat from the worked amount of cold air on', (_kind, foodDensity, airMl) => {
    const at = (ml: number) =>
      lieOf({ foodKg: 1, foodDensity, ballastKg: 0, gasMl: ml * gasGrowth(20, 75), waterC: 75 }).afloat;
    expect(at(airMl - 2)).toBe(false);
    expect(at(airMl + 2)).toBe(true);
  });

  // Grams of weight for each mL of hot gas, worked from the densities.
  it.each([
    ['stainless steel', STEEL_DENSITY, 1.12],
    ['stone', STONE_DENSITY, 1.7],
  ])('needs the worked weight of %s for each mL of hot gas', (_kind, ballastDensity, gramsPerMl) => {
    const neutral = { foodKg: 1, foodDensity: 974.85, ballastKg: 0, ballastDensity, waterC: 75 };
    const more =
      ballastToSinkKg({ ...neutral, gasMl: 200 }, 0) - ballastToSinkKg({ ...neutral, gasMl: 100 }, 0);
    expect((more * 1000) / 100).toBeCloseTo(gramsPerMl, 1);
  });

  it('sinks with exactly the ballast it asks for, and asks for none when it sinks as it is', () => {
    const load = { foodKg: 2, foodDensity: 1050, ballastKg: 0.1, gasMl: 400, waterC: 74 };
    const more = ballastToSinkKg(load, 0.05);
    const sunk = lieOf({ ...load, ballastKg: load.ballastKg + more });
    expect(sunk.afloat).toBe(false);
    expect(sunk.netLiftKg).toBeCloseTo(-0.05, 9);
    expect(ballastToSinkKg({ ...load, gasMl: 0 })).toBe(0);
  });

  it('displaces its own weight afloat and its own volume sunk (Archimedes)', () => {
    const afloat = lieOf({ foodKg: 2, foodDensity: 1050, ballastKg: 0, gasMl: 600, waterC: 20 });
    expect(afloat.volumeL * afloat.submergedFraction * 0.99815).toBeCloseTo(afloat.massKg, 3);
    const sunk = lieOf({ foodKg: 2.1, foodDensity: 1050, ballastKg: 0, gasMl: 0, waterC: 20 });
    expect(sunk.volumeL).toBeCloseTo(2.015, 2);
    expect(sunk.submergedFraction).toBe(1);
  });
});

describe('what the materials stand', () => {
  it('takes no plastic above its maximum use temperature in the resin chart (LDPE 80, HDPE 120, PP 135, PC 135)', () => {
    const chart: Record<string, number> = {
      'ldpe-zip': 80,
      'hdpe-bag': 120,
      'hdpe-liner': 120,
      'pp-pouch': 135,
      'pp-liner': 135,
      'pc-tank': 135,
    };
    for (const [id, maxC] of Object.entries(chart)) expect(materialOf(id).maxC).toBeLessThanOrEqual(maxC);
  });

  it('warns of every material softer than the setpoint: deflection under load LDPE 45, HDPE 65, PP 107 C', () => {
    expect(materialOf('hdpe-liner').careFromC).toBe(65);
    expect(materialOf('pp-liner').careFromC).toBeNull();
    expect(ceilingOf(['hdpe-liner', 'ldpe-zip'], 74).cares.map((m) => m.id)).toEqual([
      'hdpe-liner',
      'ldpe-zip',
    ]);
    expect(ceilingOf(['pp-liner', 'pp-pouch'], 74).cares).toEqual([]);
  });

  it('lets the weakest material cap the setpoint, and says which', () => {
    const ceiling = ceilingOf(['hdpe-liner', 'pa-pe-pouch', 'ldpe-zip'], 60);
    expect(ceiling.maxC).toBe(80);
    expect(ceiling.limitedBy.id).toBe('ldpe-zip');
    expect(ceilingOf(['ps-liner', 'pp-pouch'], 60).maxC).toBe(70);
  });

  it('gives every material a source, and a care wherever it names a temperature for one', () => {
    for (const material of MATERIALS) {
      expect(material.source.length).toBeGreaterThan(10);
      if (material.careFromC === null) continue;
      expect(material.care.length).toBeGreaterThan(10);
      expect(material.careFromC).toBeLessThan(material.maxC);
    }
    expect(new Set(MATERIALS.map((m) => m.id)).size).toBe(MATERIALS.length);
  });

  it('refuses an unknown material and an empty list, and lists what there is', () => {
    expect(() => materialOf('cardboard')).toThrow(/"cardboard"[\s\S]*ldpe-zip/);
    expect(() => ceilingOf([], 60)).toThrow(/name the bags/);
  });
});

describe('room in the box', () => {
  const box = { openingM2: 0.1, brimMm: 280, waterLitres: 21, lowestMm: 110 };
  const bag = { volumeL: 2, submergedFraction: 1 };

  it('raises the level by the displaced volume over the area: 4 L on 0.1 m2 are 40 mm (Archimedes)', () => {
    const room = roomFor(box, [bag, bag]);
    expect(room.levelMm).toBeCloseTo(250, 9);
    expect(room.freeboardMm).toBeCloseTo(30, 9);
    expect(room.emptiedMm).toBeCloseTo(210, 9);
    expect(room.faults).toEqual([]);
    expect(roomFor(box, [{ volumeL: 2, submergedFraction: 0.5 }]).displacedL).toBe(1);
  });

  it('says what runs over, what leaves no freeboard, no water to move, or a bare element afterwards', () => {
    expect(roomFor(box, [bag, bag, bag]).faults[0]).toMatch(/only 10 mm to the brim/);
    const over = roomFor(box, [bag, bag, bag, bag]);
    expect(over.spillsL).toBeCloseTo(1, 9);
    expect(over.faults[0]).toMatch(/1.0 L would run over/);
    expect(roomFor({ ...box, waterLitres: 12 }, [bag, bag, bag, bag, bag]).faults.join()).toMatch(
      /fewer bags/,
    );
    expect(roomFor({ ...box, waterLitres: 10 }, [bag, bag]).faults.join()).toMatch(/under 110 mm/);
    expect(() => roomFor({ ...box, openingM2: 0 }, [])).toThrow(RangeError);
  });

  it('finds the most bags, that they fit, and that one more does not', () => {
    const { bags, waterLitres } = mostBags(box, 2);
    expect(bags).toBeGreaterThan(2);
    expect(roomFor({ ...box, waterLitres }, new Array(bags).fill(bag)).faults).toEqual([]);
    for (const litres of [waterLitres - 2, waterLitres]) {
      expect(roomFor({ ...box, waterLitres: litres }, new Array(bags + 1).fill(bag)).faults).not.toEqual([]);
    }
    expect(mostBags(box, 40).bags).toBe(0);
  });

  it('wants the seam above the highest water and the food under the lowest', () => {
    expect(sealWindow(250, 205, 180, 280)).toEqual({ foodCovered: true, seamDry: true, seamAboveMm: 275 });
    expect(sealWindow(250, 170, 180, 260)).toMatchObject({ foodCovered: false, seamDry: false });
  });
});

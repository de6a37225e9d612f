import { describe, expect, it } from 'vitest';
import { bagAdvice, meatDensity } from '../../shared/bag/advice.ts';
import { BAG_DECISIONS, bagSteps } from '../../shared/bag/steps.ts';

const asked = {
  foodKg: 1,
  foodDensity: 1060,
  airMl: 10,
  sealC: 20,
  bathC: 75,
  pressureKPa: 101.325,
  materialIds: ['ldpe-zip', 'hdpe-liner'],
};

describe('what a bag will do', () => {
  // Cold air that floats a kilogram at 75 C, worked from Archimedes and the expansion ratio: about 45 mL lean, 14 mL fatty.
  it.each([
    [1060, 45],
    [1000, 14],
  ])('floats meat of %d kg/m3 from about %d mL of cold air on', (foodDensity, airMl) => {
    const advice = bagAdvice({ ...asked, foodDensity });
    expect(Math.abs(advice.floatsFromMl - airMl)).toBeLessThan(0.08 * airMl);
    expect(bagAdvice({ ...asked, foodDensity, airMl: 0.9 * advice.floatsFromMl }).floats).toBe(false);
    expect(bagAdvice({ ...asked, foodDensity, airMl: 1.1 * advice.floatsFromMl }).floats).toBe(true);
  });

  it('asks for 1.12 g of steel and 1.7 g of stone for each mL of hot gas (worked), and takes 150 g a kg at least (common practice, no source)', () => {
    const more = (airMl: number) => bagAdvice({ ...asked, airMl });
    const [a, b] = [more(100), more(200)];
    const gas = b.hotAirMl - a.hotAirMl;
    expect(((b.ballastSteelKg - a.ballastSteelKg) * 1000) / gas).toBeCloseTo(1.12, 1);
    expect(((b.ballastStoneKg - a.ballastStoneKg) * 1000) / gas).toBeCloseTo(1.7, 1);
    expect(more(0).ballastSteelKg).toBe(0);
    expect(more(0).ballastTakeKg).toBeCloseTo(0.15, 9);
  });

  it('caps the bath at the weakest of what is in the water', () => {
    expect(bagAdvice({ ...asked, bathC: 82 }).tooHot).toBe(true);
    expect(bagAdvice({ ...asked, bathC: 82, materialIds: ['pp-pouch', 'steel-pot'] }).tooHot).toBe(false);
    expect(bagAdvice({ ...asked, bathC: 82 }).ceiling.limitedBy.id).toBe('ldpe-zip');
    expect(() => bagAdvice({ ...asked, foodKg: 0 })).toThrow(/weights above 0/);
  });

  it('knows fatty meat to be lighter: 1.06 lean to 1.00 g/mL fatty (from memory)', () => {
    expect(meatDensity(0.03)).toBe(1060);
    expect(meatDensity(0.35)).toBe(1000);
    expect(meatDensity(0.15)).toBeGreaterThan(1000);
    expect(meatDensity(0.15)).toBeLessThan(1060);
  });
});

describe('bagging steps and decisions', () => {
  const steps = bagSteps(bagAdvice(asked), 255, 221);
  it('go from the rim to the seam, with the amounts of this bag and a reason each', () => {
    expect(steps.map((step) => step.id)).toEqual(['cuff', 'ballast', 'press-out', 'double', 'seam-up']);
    expect(steps[1]!.title).toMatch(/150 g of stainless steel/);
    expect(steps[4]!.title).toMatch(/255 mm above the floor/);
    expect(steps[3]!.title).toBe('Put it into a second bag');
    for (const step of steps) expect(step.why.length).toBeGreaterThan(20);
    const tough = bagSteps(bagAdvice({ ...asked, materialIds: ['pp-pouch', 'steel-pot'] }), 255, 221);
    expect(tough[3]!.title).toBe('Check the bag');
  });

  it('lead to a decision where a bag leaks or floats, and each says whether the food is lost', () => {
    for (const decision of BAG_DECISIONS) {
      expect(steps.some((step) => step.decisionId === decision.id)).toBe(true);
      expect(decision.options.length).toBeGreaterThanOrEqual(3);
      expect(decision.options.some((option) => option.endsFood)).toBe(true);
      expect(decision.options.some((option) => !option.endsFood)).toBe(true);
    }
  });
});

import { describe, expect, it } from 'vitest';
import { runHealthy } from './healthy.ts';
import { PEOPLE_KINDS } from './kinds/people.ts';
import { WATER_KINDS } from './kinds/water.ts';
import { holdKinds } from './reduced.ts';

describe('water and heat that leave', () => holdKinds(WATER_KINDS));
describe('the controller, its machine and its people', () => holdKinds(PEOPLE_KINDS));

describe('a sound cook', () => {
  it('is never tripped, and never given an alarm of highest priority that the water does not bear out', () => {
    const results = Array.from({ length: 24 }, (_, i) => runHealthy(i + 1));
    expect(results.flatMap((one) => one.falseTrips.map((text) => `seed ${one.seed}: ${text}`))).toEqual([]);
    expect(results.flatMap((one) => one.falseHigh.map((text) => `seed ${one.seed}: ${text}`))).toEqual([]);
    expect(Math.max(...results.map((one) => one.overLimitC))).toBeLessThan(0);
  });
});

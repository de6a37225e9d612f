import { describe, expect, it } from 'vitest';
import {
  makeGrid,
  runProfile,
  startProfile,
  stepProfile,
  stepProfileInto,
} from '../../shared/food/conduction.ts';

describe('the conduction solver at its edges', () => {
  const body = { thicknessM: 0.04, beta: 0, diffusivity: 1.4e-7, conductivity: 0.48 };
  const grid = makeGrid(body);
  const start = startProfile(grid, 5);

  it('leaves the given profile untouched, and may work in place', () => {
    const kept = [...start];
    const next = stepProfile(grid, start, { film: 95, fromC: 60, toC: 60 }, 100);
    expect(start).toEqual(kept);
    const own = [...start];
    stepProfileInto(grid, own, own, 95, 60, 60, 100);
    expect(own).toEqual(next);
  });

  it('changes nothing in no time', () => {
    expect(stepProfile(grid, start, { film: 95, fromC: 60, toC: 60 }, 0)).toEqual(start);
  });

  it('refuses frozen food and says to thaw it', () => {
    expect(() => startProfile(grid, -1.01)).toThrow(/thaw/i);
    expect(startProfile(grid, -1)[0]).toBe(-1);
    expect(() => startProfile(grid, Number.NaN)).toThrow(RangeError);
  });

  it('refuses a start in Fahrenheit taken for Celsius', () => {
    expect(() => startProfile(grid, 150)).toThrow(/not F/);
  });

  it.each([
    [{ ...body, thicknessM: 40 }, /thicknessM is 40/],
    [{ ...body, beta: 3 }, /beta is 3/],
    [{ ...body, beta: Number.NaN }, /beta is NaN/],
    [{ ...body, diffusivity: 1.4 }, /diffusivity/],
    [{ ...body, conductivity: -1 }, /conductivity/],
    [{ ...body, nodes: 7.5 }, /whole number/],
    [{ ...body, nodes: 1 }, /nodes/],
  ])('refuses the body %o', (bad, message) => {
    expect(() => makeGrid(bad)).toThrow(message);
  });

  it.each([
    [{ film: -1, fromC: 60, toC: 60 }, 1],
    [{ film: 95, fromC: Number.NaN, toC: 60 }, 1],
    [{ film: 95, fromC: 60, toC: Number.POSITIVE_INFINITY }, 1],
    [{ film: 95, fromC: 60, toC: 60 }, -1],
    [{ film: 95, fromC: 60, toC: 60 }, Number.NaN],
  ])('refuses the step %o for %s s', (surface, seconds) => {
    expect(() => stepProfile(grid, start, surface, seconds)).toThrow(/cannot step/);
  });

  it('refuses a profile of another grid, and names the row of a log that runs backward', () => {
    expect(() => stepProfile(grid, [5, 5, 5], { film: 95, fromC: 60, toC: 60 }, 1)).toThrow(/3 points/);
    const log = { seconds: [0, 10, 5], waterC: [60, 60, 60], film: 95 };
    expect(() => runProfile(grid, start, log)).toThrow(/^row 2: /);
  });
});

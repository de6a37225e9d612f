import { describe, expect, it } from 'vitest';
import { cutById } from '../../shared/food/cuts.ts';
import { betaOf, type Shape } from '../../shared/food/shape.ts';
import { mostThicknessMm, pieceShape, quickBeta } from '../../shared/plan/shape.ts';

describe('the shape of a piece', () => {
  // The plan's quick beta against the general one of shared/food, which solves conduction for the shape.
  it.each<Shape>([
    { kind: 'slab' },
    { kind: 'cylinder' },
    { kind: 'sphere' },
    { kind: 'brick', width: 1, length: 1 },
    { kind: 'brick', width: 1.5, length: 2.5 },
    { kind: 'brick', width: 3, length: 3 },
    { kind: 'brick', width: 6, length: 9 },
    { kind: 'finite-cylinder', length: 1 },
    { kind: 'finite-cylinder', length: 2 },
    { kind: 'finite-cylinder', length: 0.5 },
  ])('has the beta of shared/food: %o', (shape) => {
    expect(Math.abs(quickBeta(shape) - betaOf(shape))).toBeLessThan(0.012);
  });

  it('follows from weight and thickness with the proportions of its cut, and keeps the volume', () => {
    const lamb = cutById('lamb-shoulder')!;
    const shape = pieceShape(lamb, 2, 60, 1050);
    expect(shape.kind).toBe('brick');
    if (shape.kind !== 'brick') return;
    expect(shape.width / shape.length).toBeCloseTo(1.5 / 2.5, 9);
    expect(shape.width * shape.length * 0.06 ** 3 * 1050).toBeCloseTo(2, 9);
    // The same weight thinner is flatter, nearer to a slab, which heats from two sides only.
    expect(quickBeta(pieceShape(lamb, 2, 45, 1050))).toBeLessThan(quickBeta(shape));
  });

  it('is no thicker than a ball of its weight', () => {
    expect(mostThicknessMm((1000 * Math.PI * 0.1 ** 3) / 6, 1000)).toBeCloseTo(100, 9);
  });
});

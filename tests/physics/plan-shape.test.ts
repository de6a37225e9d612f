import { describe, expect, it } from 'vitest';
import { cutById } from '../../shared/food/cuts.ts';
import { betaOf } from '../../shared/food/shape.ts';
import { mostThicknessMm, pieceShape } from '../../shared/plan/shape.ts';

describe('the shape of a piece', () => {
  it('follows from weight and thickness with the proportions of its cut, and keeps the volume', () => {
    const lamb = cutById('lamb-shoulder')!;
    const shape = pieceShape(lamb, 2, 60, 1050);
    expect(shape.kind).toBe('brick');
    if (shape.kind !== 'brick') return;
    expect(shape.width / shape.length).toBeCloseTo(1.5 / 2.5, 9);
    expect(shape.width * shape.length * 0.06 ** 3 * 1050).toBeCloseTo(2, 9);
    // The same weight thinner is flatter, nearer to a slab, which heats from two sides only.
    expect(betaOf(pieceShape(lamb, 2, 45, 1050))).toBeLessThan(betaOf(shape));
  });

  it('is no thicker than a ball of its weight', () => {
    expect(mostThicknessMm((1000 * Math.PI * 0.1 ** 3) / 6, 1000)).toBeCloseTo(100, 9);
  });
});

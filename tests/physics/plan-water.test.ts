import { describe, expect, it } from 'vitest';
import { balanceOfRig } from '../../shared/bath/losses.ts';
import { coolDown, coolPaceOf, paceOf, sagsOf, thinRows } from '../../shared/plan/water-log.ts';
import { H_MS } from './plan-jobs.ts';
import { cutAway, inMs, log, onMs } from './plan-running.ts';

describe('the measured water', () => {
  const lumped = (lossWK: number) =>
    balanceOfRig({
      watts: 1000,
      capacityJK: 20 * 4180,
      lossLidOnWK: lossWK,
      lossLidOffWK: lossWK,
      openingM2: 0.12,
      roomC: 22,
      evaporationLidOnKgH: null,
    });

  // Lumped model, 20 L, room 22 C, 2.5 W/K insulated and 6 W/K plain (worked): hours from 75 C.
  it.each([
    [2.5, 57, 3.86],
    [2.5, 60, 3.1],
    [2.5, 65, 1.95],
    [2.5, 54.5, 4.55],
    [6, 57, 1.61],
    [6, 60, 1.29],
    [6, 65, 0.82],
    [6, 54.5, 1.9],
  ])('without heat and with %d W/K falls to %d C in the worked %d h', (lossWK, celsius, hours) => {
    const [fall] = coolDown(lumped(lossWK), 75, [celsius], true, 0.1);
    expect(fall!.atS / 3600).toBeCloseTo(hours, 1);
    expect(fall!.lowS).toBeLessThan(fall!.atS);
  });

  it('is thinned without losing a bend, and cleaned of what is no number', () => {
    const rows = log(inMs + 12 * H_MS, cutAway);
    const thin = thinRows(
      [...rows].reverse().concat([
        { atMs: Number.NaN, celsius: 1 },
        { atMs: onMs, celsius: Number.NaN },
      ]),
    );
    expect(thin.length).toBeLessThan(rows.length / 6);
    for (let i = 1; i < thin.length; i++)
      expect(thin[i]!.atMs - thin[i - 1]!.atMs).toBeLessThanOrEqual(300_000);
    let at = 0;
    for (const row of rows) {
      while (thin[at + 1]!.atMs < row.atMs) at++;
      const [a, b] = [thin[at]!, thin[at + 1]!];
      const line = a.celsius + ((b.celsius - a.celsius) * (row.atMs - a.atMs)) / (b.atMs - a.atMs);
      expect(Math.abs(line - row.celsius)).toBeLessThan(0.31);
    }
  });

  it('tells its pace of heating and of cooling against what was foreseen', () => {
    const balance = lumped(0);
    // 1000 W into 83.6 kJ/K: 0.01196 K/s; measured at half of it is a pace of two.
    const rows = Array.from({ length: 61 }, (_, i) => ({ atMs: i * 60_000, celsius: 20 + i * 60 * 0.00598 }));
    expect(paceOf(rows, balance, true)).toBeCloseTo(2, 2);
    expect(paceOf(rows.slice(0, 3), balance, true)).toBe(1);
    const cooling = lumped(2.5);
    const falling = Array.from({ length: 61 }, (_, i) => ({
      atMs: i * 60_000,
      celsius: 22 + 53 * Math.exp((-i * 60 * 5) / (20 * 4180)),
    }));
    expect(coolPaceOf(falling, cooling, true)).toBeCloseTo(0.5, 1);
    expect(coolPaceOf(falling.slice(0, 2), cooling, true)).toBe(1);
  });

  it('sags only after it has been hot, and knows what food explains', () => {
    const rows = thinRows(log(inMs + 6 * H_MS, cutAway));
    const sags = sagsOf(rows, 74, [inMs]);
    expect(sags.length).toBe(1);
    expect(sags[0]!.kind).toBe('heat-lost');
    expect((sags[0]!.backMs! - sags[0]!.fromMs) / 60_000).toBeGreaterThan(55);
    expect((sags[0]!.backMs! - sags[0]!.fromMs) / 60_000).toBeLessThan(75);
    expect(sagsOf(rows, 74, [inMs + 2 * H_MS])[0]!.kind).toBe('dip');
  });
});

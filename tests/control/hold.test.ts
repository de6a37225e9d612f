import { describe, expect, it } from 'vitest';
import { hutSpec } from '../../shared/bath/plant.ts';
import { benchCook, hutBags, say } from './cook.ts';

describe('holding the bath', () => {
  for (const relay of ['solid-state', 'relay', 'contactor'] as const) {
    it(`keeps the true water within 0.3 C of the setpoint and overshoots less than 1 C (${relay})`, () => {
      const cook = benchCook({ config: { control: { relay } } });
      cook.say(say.start(74));
      let peak = 0;
      cook.run(2 * 3600, (_, water) => {
        peak = Math.max(peak, water);
      });
      expect(cook.state().cook?.stage).toBe('ready-for-food');
      expect(peak).toBeLessThan(75);
      cook.say(...hutBags());
      cook.run(2 * 3600, (_, water) => {
        peak = Math.max(peak, water);
      });
      expect(peak).toBeLessThan(75);
      let low = 99;
      let high = 0;
      cook.run(3 * 3600, (_, water) => {
        low = Math.min(low, water);
        high = Math.max(high, water);
      });
      expect(low).toBeGreaterThan(73.7);
      expect(high).toBeLessThan(74.3);
    });
  }

  it('holds as well with a cold room, a noisy probe and a weaker element', () => {
    for (let seed = 1; seed <= 5; seed++) {
      const spec = hutSpec();
      spec.ambientC = -2 + seed;
      spec.elementWatts = 700 + 100 * seed;
      spec.probes.bath.noiseSdC = 0.08;
      const cook = benchCook({ spec, seed, startC: 60 });
      cook.say(say.start(68));
      cook.run(2 * 3600);
      let worst = 0;
      cook.run(2 * 3600, (_, water) => {
        worst = Math.max(worst, Math.abs(water - 68));
      });
      expect(worst, `seed ${seed}`).toBeLessThan(0.3);
    }
  });

  it('moves without a bump when the setpoint changes: the duty never jumps', () => {
    const cook = benchCook({ startC: 70 });
    cook.say(say.start(70));
    cook.run(3600);
    const before = cook.state().regulator.duty;
    const after = cook.say(say.setpoint(72)).sample.duty;
    expect(Math.abs(after - before)).toBeLessThan(0.05);
    let peak = 0;
    cook.run(2400, (_, water) => {
      peak = Math.max(peak, water);
    });
    expect(peak).toBeLessThan(73);
    expect(Math.abs(cook.waterC() - 72)).toBeLessThan(0.3);
  });

  it('starts from no heat, without a bump', () => {
    const cook = benchCook({ startC: 65 });
    const first = cook.say(say.start(66));
    expect(first.sample.duty).toBe(0);
    expect(first.lease).toBeNull();
  });

  it('respects minimum on and off times of each kind of switch', () => {
    for (const [relay, least] of [
      ['relay', 5],
      ['contactor', 15],
    ] as const) {
      const cook = benchCook({ config: { control: { relay } }, startC: 72 });
      cook.say(say.start(72));
      const spells: number[] = [];
      let on = false;
      let held = 0;
      cook.run(4 * 3600, (output) => {
        const now = output.lease !== null;
        held++;
        if (now === on) return;
        spells.push(held);
        on = now;
        held = 0;
      });
      expect(spells.length).toBeGreaterThan(20);
      expect(Math.min(...spells.slice(1)), relay).toBeGreaterThanOrEqual(least);
    }
  });
});

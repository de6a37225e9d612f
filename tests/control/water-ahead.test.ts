import { describe, expect, it } from 'vitest';
import { DRY, describedRig, RATE, STEAM } from '../../controller/tick/control/identify/rig.ts';
import { waterAhead } from '../../controller/tick/control/identify/water-ahead.ts';
import { outlookOf } from '../../controller/tick/estimate/view.ts';
import { benchCook, hutBags, say } from './cook.ts';

/** A rig of which rate and losses are known. */
function known(rate: number, dry: number) {
  const rig = describedRig({ litres: 21, elementWatts: 1000 });
  const mean = rig.belief.mean.slice();
  mean[RATE] = rate;
  mean[DRY] = dry;
  mean[STEAM] = 0;
  return { ...rig, belief: { ...rig.belief, mean } };
}

describe('where the water will be', () => {
  it('is the closed form of a leaky vessel heated evenly: T = Te - (Te - T0) exp(-k t)', () => {
    // First-order heating of a lumped body against a constant loss coefficient (Incropera & DeWitt, lumped capacitance).
    const [rate, dry, roomC] = [0.01, 1.2e-4, 20];
    const endC = roomC + rate / dry;
    const water = waterAhead(known(rate, dry), 20, 70, roomC);
    for (const at of [600, 1800, 3600]) {
      expect(water(at)).toBeCloseTo(endC - (endC - 20) * Math.exp(-dry * at), 0);
    }
    const reached = Math.log((endC - 20) / (endC - 70)) / dry;
    expect(water(reached - 300)).toBeLessThan(70);
    expect(water(reached + 120)).toBe(70);
    expect(water(1e6)).toBe(70);
  });

  it('falls by the loss to a setpoint below, and stays where full heat can lift it no further', () => {
    const cooling = waterAhead(known(0.01, 1e-4), 80, 60, 20);
    expect(cooling(600)).toBeCloseTo(20 + 60 * Math.exp(-0.06), 0);
    expect(cooling(1e5)).toBe(60);
    const weak = waterAhead(known(0.004, 1e-4), 20, 90, 20);
    expect(weak(1e6)).toBeLessThan(60.1);
    expect(weak(1e6)).toBeGreaterThan(58);
  });

  it('tells food that went into a bath still heating up when its standard will be met, within a tenth of the time it takes', () => {
    const cook = benchCook({ startC: 30 });
    cook.say(say.start(68));
    cook.run(300);
    cook.say(...hutBags());
    cook.run(60);
    const state = cook.state();
    const bag = state.bags[0]!;
    const from = state.clockS;
    const due = outlookOf(state, bag).ahead?.metInS ?? null;
    expect(due).not.toBeNull();
    let metS: number | null = null;
    for (let minute = 0; minute < 15 * 60 && metS === null; minute++) {
      cook.run(60);
      const later = cook.state();
      const ahead = outlookOf(later, later.bags[0]!).ahead;
      if (ahead?.metInS === null) metS = later.clockS - from;
    }
    expect(metS).not.toBeNull();
    expect(Math.abs(due! / metS! - 1)).toBeLessThan(0.1);
  });

  it('gives no time while the heat has tripped', () => {
    const cook = benchCook({ startC: 60 });
    cook.say(say.start(68));
    cook.say(...hutBags());
    cook.run(60);
    const trip = { alarmId: 'probe-stuck', atMs: 1, detail: 'Saw nothing.' } as const;
    const state = { ...cook.state(), trip };
    const { ahead, tender } = outlookOf(state, state.bags[0]!);
    expect(ahead).toBeNull();
    expect(tender?.p50AtMs).toBeNull();
    expect(tender?.why).toContain('tripped');
  });
});

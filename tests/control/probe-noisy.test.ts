import { describe, expect, it } from 'vitest';
import { underwayC } from '../../controller/tick/control/identify/underway.ts';
import { checkReadingStep } from '../../controller/tick/supervise/reading-step.ts';
import { drawScene } from '../faults/scene.ts';
import { World } from '../faults/world.ts';

/** A bath that has reached its setpoint, with a bath probe of so much noise, degC. */
function held(seed: number, noiseSdC: number): World {
  const scene = drawScene(seed, 'simple');
  const bath = { ...scene.spec.probes.bath, noiseSdC };
  const spec = { ...scene.spec, probes: { ...scene.spec.probes, bath } };
  const world = new World({ ...scene, spec }, scene.setpointC - 4, seed);
  world.startCook();
  return world;
}

/** How often an alarm rang within an hour. */
function rings(world: World, which: string): number {
  let count = 0;
  for (let i = 0; i < 3600; i++)
    for (const { alarmId, to } of world.step().output.alarms)
      if (alarmId === which && to === 'unacknowledged') count += 1;
  return count;
}

describe('a probe whose readings scatter', () => {
  it('is told once, as a failing probe, though its noise measures a little more or less from minute to minute', () => {
    for (const seed of [92_001, 92_002, 92_003]) expect(rings(held(seed, 0.29), 'probe-failing')).toBe(1);
  });

  it('is no matter where it scatters as a sound one may', () => {
    expect(rings(held(92_004, 0.15), 'probe-failing')).toBe(0);
  });
});

describe('a reading that fell, nobody knows why', () => {
  it('lets no heat on that would carry it over what is safe with what is on its way already', () => {
    const world = held(92_005, 0.02);
    for (let i = 0; i < 400; i++) world.step();
    const { rig, watch } = world.state;
    const setpointC = world.scene.setpointC;
    const hot = { ...rig, path: { ...rig.path, broad: 1, narrow: [1, 1, 1, 1] as const } };
    expect(underwayC(hot)).toBeGreaterThan(0.1);
    const fall = { ...watch.fall, fellC: 6, fromC: setpointC, moving: false };
    const found = (of: typeof rig, celsius: number) =>
      checkReadingStep({
        input: {} as never,
        sense: { celsius, quality: 'good', ageMs: 0 },
        state: { ...world.state, rig: of, watch: { ...watch, fall } },
      });
    // Six degrees fell, two and a half may be risked: just under that, and nothing more must come.
    const justUnder = setpointC + 2.5 - 6 - 0.05;
    const resting = { ...rig, path: { ...rig.path, broad: 0, narrow: [0, 0, 0, 0] as const } };
    expect(found(resting, justUnder).heatOff).toBe(false);
    expect(found(hot, justUnder).heatOff).toBe(true);
    expect(found(hot, justUnder - underwayC(hot)).heatOff).toBe(false);
  });
});

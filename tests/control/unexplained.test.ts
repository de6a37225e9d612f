import { describe, expect, it } from 'vitest';
import { checkProbesDisagree } from '../../controller/tick/supervise/probes-disagree.ts';
import { explainFall, fallWhileAway, NO_FALL } from '../../controller/tick/supervise/watch/fall.ts';
import { NO_PAIR, watchPair } from '../../controller/tick/supervise/watch/pair.ts';
import { disturbWatch, explainWatch, firstWatch } from '../../controller/tick/supervise/watch/watch.ts';
import { tick } from '../../controller/tick/tick.ts';
import { truth } from '../../shared/bath/plant.ts';
import { drawScene } from '../faults/scene.ts';
import { World } from '../faults/world.ts';

/** A held bath whose probe then goes wrong; what is done `atS` later; gives the hottest water over the setpoint, K. */
function hottest(seed: number, fault: 'offset' | 'out-of-water', atS: number, deed: (world: World) => void) {
  const scene = drawScene(91_000 + seed, 'simple');
  const world = new World(scene, scene.setpointC - 10, seed);
  world.startCook();
  while (!world.state.cook?.reached) world.step();
  for (let i = 0; i < 900; i++) world.step();
  const wrong = fault === 'offset' ? { fault, size: -9 } : { fault };
  world.event({ type: 'probe', probe: 'bath', ...wrong });
  let over = Number.NEGATIVE_INFINITY;
  for (let s = 0; s < 4800; s++) {
    if (s === atS) deed(world);
    world.step();
    over = Math.max(over, truth(scene.spec, world.plant).waterC - scene.setpointC);
  }
  return { over, trip: world.state.trip?.alarmId ?? null };
}

const restart = (world: World) => {
  world.interference.lateS = 19;
  world.interference.restartAwayMs = 20_000;
};

describe('a fall of the reading that nobody explained', () => {
  it('is not forgiven by a restart: the water stays within 5 °C of its setpoint', () => {
    for (const seed of [1, 2, 3]) expect(hottest(seed, 'offset', 200, restart).over).toBeLessThan(5);
  });

  it('is seen across a restart that falls into the middle of it: a probe in the air trips all the same', () => {
    for (const seed of [1, 2, 3]) {
      const { over, trip } = hottest(seed, 'out-of-water', 14, restart);
      expect(over).toBeLessThan(5);
      expect(trip).toBe('probe-out-of-water');
    }
  });

  it('is not explained by a jug of water, nor by words about a bag', () => {
    const jug = (world: World) => world.say({ kind: 'topped-up', litres: 0.2, celsius: null });
    const out = (world: World) => world.say({ kind: 'bag-out', bagId: 'none', agoS: 0 });
    for (const deed of [jug, out]) expect(hottest(4, 'offset', 100, deed).over).toBeLessThan(5);
  });

  it('is explained up to what was done, and the rest stands', () => {
    const fell = { ...NO_FALL, fellC: 9, fromC: 70, atS: 100 };
    expect(explainFall(fell, 2)).toMatchObject({ fellC: 7, fromC: 68, moving: false });
    expect(explainFall(fell, 8.5).fellC).toBe(0);
    expect(explainFall(fell).fellC).toBe(0);
  });

  it('is neither made nor ended by an absence of unknown length', () => {
    expect(fallWhileAway({ ...NO_FALL, fellC: 3, moving: true }, null)).toMatchObject({
      fellC: 3,
      moving: false,
    });
  });
});

describe('heat that did not arrive', () => {
  const answer = { share: 0, atS: 50, triedC: 0.3, bad: 3, badC: 0.9 };
  const watch = { ...firstWatch(null), trial: { ...firstWatch(null).trial, heat: answer } };

  it('stays missing, with what may be in the water unseen, whatever a phone says of water or food', () => {
    expect(disturbWatch(watch, Number.POSITIVE_INFINITY).trial.heat).toEqual(answer);
  });

  it('is forgotten once somebody has looked at the bath', () => {
    expect(explainWatch(watch).trial.heat).toBeNull();
  });
});

describe('two probes that disagreed', () => {
  const apart = { ...NO_PAIR, offC: 6, highBeats: 5, learned: 240, silentS: 60 };

  it('still count as apart where the hotter one then falls silent', () => {
    expect(watchPair(apart, 65, 0.2, 0, true).offC).toBe(6);
    expect(watchPair({ ...apart, highBeats: 1 }, 65, 0.2, 0, true).offC).toBeNull();
  });

  it('hold the heat off meanwhile, and say what to do', () => {
    const scene = drawScene(91_020, 'full');
    const world = new World(scene, scene.setpointC - 1, 1);
    world.startCook();
    world.step();
    const state = { ...world.state, watch: { ...world.state.watch, pair: apart } };
    const sense = { celsius: scene.setpointC, quality: 'good', ageMs: 0 } as const;
    const found = checkProbesDisagree({ state, sense, input: {} as never });
    expect(found.heatOff).toBe(true);
    expect(found.detail).toContain('safety.secondProbe');
  });
});

describe('a test of the alarm that somebody answered', () => {
  it('counts no more after an absence of unknown length, and does after a known one', () => {
    for (const [awayMs, counts] of [
      [null, false],
      [20_000, true],
    ] as const) {
      const scene = drawScene(91_030, 'full');
      const world = new World(scene, scene.setpointC - 1, 1);
      world.startCook();
      world.say({ kind: 'answer-alarm-test' });
      world.step();
      const { state } = world;
      const input = {
        ...{
          sequence: 9,
          monotonicMs: 1000,
          wallMs: state.wallMs + 20_000,
          wallTrusted: true,
          ...world.rig.read(1000),
        },
        ...{ journalLagMs: 0, commands: [], restart: { awayMs } },
      };
      expect(tick(state, input).state.attendance.answeredAtS !== null).toBe(counts);
    }
  });
});

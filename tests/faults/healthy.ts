import { truth } from '../../shared/bath/plant.ts';
import {
  logUniformBetween,
  newRandom,
  pick,
  type Random,
  uniform,
  uniformBetween,
} from '../../shared/units/random.ts';
import type { AlarmId } from '../../shared/wire/alarm.ts';
import { drawScene, type Scene } from './scene.ts';
import { World } from './world.ts';

/** What a sound cook came to: alarms and trips that the plant's truth does not bear out. */
export interface HealthyResult {
  readonly seed: number;
  readonly falseTrips: readonly string[];
  readonly falseHigh: readonly string[];
  /** Every alarm below highest priority that rang, with how often. */
  readonly rang: Partial<Record<AlarmId, number>>;
  /** Largest distance of the true water over its limit, degC (below nought = within). */
  readonly overLimitC: number;
  readonly hours: number;
}

/** Length of a sound cook, s. */
const COOK_S = 5 * 3600;

interface Deed {
  readonly atS: number;
  readonly act: (world: World) => void;
}

/** One in ten describes the rig badly, one in four has a noisy probe. */
function roughened(scene: Scene, random: Random): Scene {
  const { spec, config } = scene;
  const bath = { ...config.bath };
  if (uniform(random) < 0.1) {
    bath.litres = (bath.litres ?? 20) * uniformBetween(random, 0.75, 1.3);
    bath.elementWatts = (bath.elementWatts ?? 1000) * uniformBetween(random, 0.8, 1.25);
  }
  const noisy = uniform(random) < 0.25;
  const noiseSdC = noisy ? uniformBetween(random, 0.12, 0.3) : spec.probes.bath.noiseSdC;
  return {
    ...scene,
    spec: { ...spec, probes: { ...spec.probes, bath: { ...spec.probes.bath, noiseSdC } } },
    config: { ...config, bath },
  };
}

/** A cold bag goes in; nine cooks in ten say so, some of them late. */
function bagDeeds(random: Random, scene: Scene, number: number, atS: number): Deed[] {
  const bagId = `bag-${number}`;
  const massKg = scene.spec.litres * uniformBetween(random, 0.02, 0.07);
  const thicknessMm = uniformBetween(random, 30, 80);
  const startC = uniformBetween(random, 2, 12);
  const food = { thicknessMm, massKg, beta: 0.7, diffusivity: 1.3e-7, conductivity: 0.48, startC };
  const deeds: Deed[] = [
    { atS, act: (world) => world.event({ type: 'lid', on: false }) },
    {
      atS: atS + 20,
      act: (world) => world.event({ type: 'bag-in', bagId, ...food, ballastKg: 0.15 * massKg }),
    },
    {
      atS: atS + 20 + uniformBetween(random, 10, 90),
      act: (world) => world.event({ type: 'lid', on: true }),
    },
  ];
  const word = uniform(random);
  if (word > 0.9) return deeds;
  const lateS = word > 0.8 ? uniformBetween(random, 300, 900) : uniformBetween(random, 0, 90);
  const bag = {
    bagId,
    label: bagId,
    cutId: 'pork-neck',
    beta: 0.7,
    thicknessMm: Math.round(thicknessMm),
    massKg: uniform(random) < 0.7 ? massKg : null,
    startC: 5,
  };
  const say = (world: World) => world.say({ kind: 'bag-in', bag, agoS: Math.round(lateS) });
  return [...deeds, { atS: atS + 20 + lateS, act: say }];
}

/** The lid is lifted for a fork test, a handful of minutes at most. */
function forkTest(random: Random, atS: number): Deed[] {
  return [
    { atS, act: (world) => world.event({ type: 'lid', on: false }) },
    { atS: atS + logUniformBetween(random, 40, 480), act: (world) => world.event({ type: 'lid', on: true }) },
  ];
}

/** Cold water from the tap or hot water from the kettle; half the cooks say so. */
function topUp(random: Random, scene: Scene, atS: number): Deed[] {
  const kettle = uniform(random) < 0.4;
  const share = kettle ? uniformBetween(random, 0.01, 0.04) : uniformBetween(random, 0.01, 0.08);
  const litres = scene.spec.litres * share;
  const celsius = kettle ? uniformBetween(random, 75, 95) : uniformBetween(random, 8, 22);
  const deeds: Deed[] = [{ atS, act: (world) => world.event({ type: 'top-up', litres, celsius }) }];
  if (uniform(random) < 0.5) {
    const say = (world: World) => world.say({ kind: 'topped-up', litres, celsius: null });
    deeds.push({ atS: atS + uniformBetween(random, 0, 120), act: say });
  }
  return deeds;
}

function setpointDeed(random: Random, scene: Scene, atS: number): Deed {
  const wanted = scene.setpointC + uniformBetween(random, -8, 3);
  const setpointC = Math.max(57.5, Math.min(85, Math.round(wanted * 2) / 2));
  return { atS, act: (world) => world.say({ kind: 'set-setpoint', setpointC, lowSetpointConfirmed: true }) };
}

/** The controller restarts again and again for a while: a loose plug, a program that fails. The bath is sound. */
function restarts(random: Random, fromS: number): Deed[] {
  const deeds: Deed[] = [];
  let atS = fromS;
  for (let i = 2 + pick(random, 7); i > 0; i--) {
    const awayS = uniformBetween(random, 5, 25);
    const act = ({ interference }: World) => {
      interference.lateS = awayS;
      interference.restartAwayMs = awayS * 1000;
    };
    deeds.push({ atS, act });
    atS += awayS + uniformBetween(random, 150, 600);
  }
  return deeds;
}

/** Everything that happens in a sound cook. */
function drawDeeds(random: Random, scene: Scene): Deed[] {
  const within = (from: number, to: number) => uniformBetween(random, from, to) * COOK_S;
  const deeds: Deed[] = [];
  const first = within(0.02, 0.3);
  const bags = 1 + pick(random, 3);
  for (let i = 0; i < bags; i++)
    deeds.push(...bagDeeds(random, scene, i, first + i * uniformBetween(random, 120, 240)));
  if (uniform(random) < 0.6) deeds.push(...bagDeeds(random, scene, bags, within(0.35, 0.85)));
  for (let i = pick(random, 4); i > 0; i--) deeds.push(...forkTest(random, within(0.3, 0.95)));
  for (let i = pick(random, 3); i > 0; i--) deeds.push(...topUp(random, scene, within(0.2, 0.95)));
  if (uniform(random) < 0.4) deeds.push(setpointDeed(random, scene, within(0.3, 0.9)));
  if (uniform(random) < 0.4) {
    const celsius = scene.spec.ambientC - uniformBetween(random, 4, 15);
    deeds.push({ atS: within(0.2, 0.9), act: (world) => world.event({ type: 'ambient', celsius }) });
  }
  if (uniform(random) < 0.15) deeds.push(...restarts(random, within(0.1, 0.8)));
  return deeds.sort((a, b) => a.atS - b.atS);
}

/** What a person at hand does: answers the question truly, acknowledges what rings. */
function attend(world: World, random: Random): void {
  const { state } = world;
  if (uniform(random) > 1 / 240) return;
  if (state.load.dipAtS !== null) world.say({ kind: 'answer-load', foodIn: uniform(random) < 0.5 });
  const ringing = state.alarms.find(
    (alarm) => alarm.state === 'unacknowledged' || alarm.state === 'returned-unacknowledged',
  );
  if (ringing) world.say({ kind: 'acknowledge', alarmId: ringing.alarmId });
}

/** Whether the water really is where such an alarm says. */
function borneOut(alarmId: AlarmId, waterC: number, setpointC: number): boolean {
  if (alarmId === 'bath-below-hot-limit') return waterC < 57.8;
  if (alarmId === 'over-setpoint') return waterC > setpointC + 5;
  return alarmId === 'over-temperature' && waterC > 94;
}

/** Runs one sound cook. */
export function runHealthy(seed: number): HealthyResult {
  const random = newRandom(seed + 0.125);
  const scene = roughened(drawScene(seed, uniform(random) < 0.5 ? 'full' : 'simple'), random);
  const warm = uniform(random) < 0.4;
  const startC = warm ? uniformBetween(random, 38, 52) : uniformBetween(random, 8, 18);
  const world = new World(scene, startC, seed);
  const attended = uniform(random) < 0.6;
  const deeds = drawDeeds(random, scene);
  const falseTrips: string[] = [];
  const falseHigh: string[] = [];
  const rang: Partial<Record<AlarmId, number>> = {};
  let overLimitC = Number.NEGATIVE_INFINITY;
  let next = 0;
  world.startCook();
  while (world.atS < COOK_S) {
    while (next < deeds.length && deeds[next]!.atS <= world.atS) deeds[next++]!.act(world);
    if (attended) attend(world, random);
    const { state, output, atS } = world.step();
    const { waterC } = truth(scene.spec, world.plant);
    const setpointC = state.cook?.setpointC ?? 95;
    if (state.cook?.reached) overLimitC = Math.max(overLimitC, waterC - Math.min(setpointC + 5, 95));
    for (const row of output.alarms) {
      if (row.to !== 'unacknowledged') continue;
      if (row.priority !== 'high') rang[row.alarmId] = (rang[row.alarmId] ?? 0) + 1;
      else if (!borneOut(row.alarmId, waterC, setpointC))
        falseHigh.push(`${row.alarmId} at ${atS} s: ${row.detail}`);
    }
    for (const event of output.events) if (event.kind === 'trip') falseTrips.push(`${atS} s: ${event.text}`);
  }
  return { seed, falseTrips, falseHigh, rang, overLimitC, hours: COOK_S / 3600 };
}

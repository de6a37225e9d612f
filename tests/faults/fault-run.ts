import { ALARM_IDS } from '../../controller/tick/alarm/table.ts';
import { newRandom, uniformBetween } from '../../shared/units/random.ts';
import { Judge, type Outcome } from './judge.ts';
import { FOOD_ID, type Kind, type Named, sceneSeed } from './kind.ts';
import { drawScene, type Scene } from './scene.ts';
import { type Broken, brokenLimits, namedAfter } from './verdict.ts';
import { World } from './world.ts';

/** What a run came to, and every limit it broke, in words. */
export interface FaultResult {
  readonly kind: string;
  readonly seed: number;
  readonly outcome: Outcome;
  /** When an alarm that names the fault stood, s from the onset; null = never. */
  readonly namedS: number | null;
  readonly namedBy: string | null;
  readonly broken: readonly Broken[];
}

/** The onset is given up after this long, s: no drawn rig should need it. */
const LONGEST_LEAD_S = 5 * 3600;

/** Runs the scene up to the moment at which the fault is to come. */
function lead(world: World, kind: Kind, random: ReturnType<typeof newRandom>): void {
  const { scene } = world;
  const share = uniformBetween(random, 0.25, 0.75);
  const startC = world.plant.topC;
  const holdS = uniformBetween(random, 1500, 4200);
  const foodS = uniformBetween(random, 2400, 5400);
  world.startCook();
  let reachedS = Number.POSITIVE_INFINITY;
  let foodInS = Number.POSITIVE_INFINITY;
  while (world.atS < LONGEST_LEAD_S) {
    const { state } = world.step();
    attend(world);
    const water = world.plant.topC;
    if (kind.phase === 'heat-up') {
      if (water > startC + share * (scene.setpointC - startC)) return;
      continue;
    }
    if (state.cook?.reached && reachedS === Number.POSITIVE_INFINITY) reachedS = world.atS;
    if (kind.phase === 'hold' && world.atS - reachedS > holdS) return;
    if (kind.phase === 'food' && world.atS - reachedS > 600 && foodInS === Number.POSITIVE_INFINITY) {
      foodInS = world.atS;
      putFoodIn(world, random);
    }
    if (kind.phase === 'food' && world.atS - foodInS > foodS) return;
  }
  throw new Error(`seed ${scene.seed} of "${kind.id}" never came to its onset`);
}

/** Somebody is there before the onset and sees what rings, so that what rings after it is news. */
function attend(world: World): void {
  if (world.atS % 600 < 1) world.say({ kind: 'here' });
  for (const { alarmId, state } of world.state.alarms) {
    if (state === 'unacknowledged' || state === 'returned-unacknowledged')
      world.say({ kind: 'acknowledge', alarmId });
  }
}

/** A joint goes in and is entered. */
function putFoodIn(world: World, random: ReturnType<typeof newRandom>): void {
  const massKg = world.scene.spec.litres * uniformBetween(random, 0.03, 0.1);
  const thicknessMm = uniformBetween(random, 35, 80);
  world.event({
    type: 'bag-in',
    bagId: FOOD_ID,
    thicknessMm,
    massKg,
    beta: 0.7,
    diffusivity: 1.3e-7,
    conductivity: 0.48,
    startC: 5,
    ballastKg: 0.15 * massKg,
  });
  const bag = {
    bagId: FOOD_ID,
    label: 'Joint',
    cutId: 'pork-neck',
    beta: 0.7,
    thicknessMm,
    massKg,
    startC: 5,
  };
  world.say({ kind: 'bag-in', bag, agoS: 0 });
}

function startTemperature(scene: Scene, kind: Kind, random: ReturnType<typeof newRandom>): number {
  if (kind.phase === 'heat-up') {
    return Math.min(scene.setpointC - 18, Math.max(scene.spec.ambientC, 4) + uniformBetween(random, 0, 25));
  }
  return scene.setpointC - uniformBetween(random, 9, 14);
}

/** Where no limit asks for a name, whatever alarm stood first is reported. */
const anyAlarm = (outcome: Outcome): Named => ({
  by: ALARM_IDS.filter((alarmId) => outcome.named[alarmId] !== undefined),
  withinS: Number.POSITIVE_INFINITY,
});

/** Runs one fault on one drawn rig and judges it by the plant's truth. */
export function runFault(kind: Kind, seed: number): FaultResult {
  const drawn = drawScene(sceneSeed(kind.id, seed), kind.rigClass);
  const random = newRandom(sceneSeed(kind.id, seed) + 0.25);
  const scene = kind.prepare?.(drawn, random) ?? drawn;
  const world = new World(scene, startTemperature(scene, kind, random), seed);
  lead(world, kind, random);
  const onsetS = world.atS;
  const judge = new Judge(world, onsetS);
  kind.begin(world, random);
  while (world.atS < onsetS + kind.runS) {
    kind.each?.(world, world.atS - onsetS);
    judge.look(world.step());
  }
  const { outcome } = judge;
  const naming = namedAfter(outcome, kind.limits.named?.[0] ?? anyAlarm(outcome));
  return {
    kind: kind.id,
    seed,
    outcome,
    namedS: naming?.atS ?? null,
    namedBy: naming?.by ?? null,
    broken: brokenLimits(kind, outcome),
  };
}

import { uniformBetween } from '../../../shared/units/random.ts';
import { event, FOOD_ID, type Kind, named, probe, TEN_MIN } from '../kind.ts';
import { type Scene, signed } from '../scene.ts';
import type { World } from '../world.ts';

const nothing = () => undefined;

/** Somebody must give a sign every twenty minutes. */
const asked = (scene: Scene): Scene => ({
  ...scene,
  config: { ...scene.config, safety: { ...scene.config.safety, presenceMinutes: 20 } },
});

/** Everything that leaving the cook alone needs, proven on paper. */
const proven = (scene: Scene): Scene => {
  const one = asked(scene);
  const safety = { ...one.config.safety, cutOutProvenOn: '2026-11-01', alarmPathProvenOn: '2026-11-01' };
  return { ...one, config: { ...one.config, safety } };
};

/** A setpoint from which little cold water leads into the danger zone. */
const mild = (scene: Scene): Scene => ({ ...scene, setpointC: Math.min(scene.setpointC, 61) });

/** Pours water of one temperature in, enough to move the whole bath by so many degrees. */
const pour = (celsius: number, byC: number) => (world: World) => {
  const waterC = world.plant.topC;
  const litres = (world.plant.waterLitres * byC) / (celsius - waterC - byC);
  world.event({ type: 'top-up', litres, celsius });
};

/** The ways of calling people report that so many of so many fail. */
const failing = (ways: number, waysFailing: number) => (world: World) => {
  const channels = Array.from({ length: waysFailing }, (_, i) => ({
    channel: `way ${i + 1}`,
    why: 'no answer',
  }));
  world.interference.calls = { state: { failing: channels, ways, waysFailing }, deliveries: [] };
};

/** A restart that finds its log not as it was left. */
const atTheStart = (
  id: string,
  limits: Kind['limits'],
  found: Partial<NonNullable<World['interference']['lostLog']>>,
): Kind => ({
  id,
  rigClass: 'full',
  phase: 'hold',
  runS: 120,
  limits,
  begin: (world, random) => {
    const rows = Math.round(uniformBetween(random, 1, 3600));
    const log = { rows, fromMs: null, toMs: null, why: 'a torn write', keptAs: 'journal.damaged.sqlite' };
    world.interference.restartAwayMs = 20_000;
    world.interference.lostLog = { ...log, goesOn: true, ...found };
  },
});

/** The controller and the machine under it, and people who do what no rig can know. */
export const PEOPLE_KINDS: readonly Kind[] = [
  {
    id: 'ticks late',
    rigClass: 'full',
    phase: 'hold',
    runS: 900,
    limits: { named: [named(TEN_MIN, 'tick-late')] },
    begin: nothing,
    each: (world, afterS) => {
      if (Math.floor(afterS) % 3 === 0) world.interference.lateS = 2;
    },
  },
  {
    id: 'controller stalls',
    rigClass: 'full',
    phase: 'heat-up',
    runS: 600,
    limits: { unaskedS: 2, named: [named(TEN_MIN, 'tick-late')] },
    begin: (world, random) => {
      world.interference.lateS = uniformBetween(random, 6, 90);
    },
  },
  {
    id: 'controller restarts',
    rigClass: 'full',
    phase: 'hold',
    runS: 900,
    limits: { named: [named(130, 'controller-restarted')] },
    begin: (world, random) => {
      const awayS = uniformBetween(random, 5, 120);
      world.interference.lateS = awayS;
      world.interference.restartAwayMs = awayS * 1000;
    },
  },
  atTheStart('rows of the log gone at the start', { named: [named(2, 'log-damaged')] }, {}),
  atTheStart(
    'a new log begun at the start',
    { heatOffS: 2, named: [named(2, 'log-begun-anew')] },
    { goesOn: false },
  ),
  atTheStart(
    'mark of the log gone at the start',
    { named: [named(2, 'log-unproved')] },
    { rows: null, what: 'unproved' },
  ),
  {
    id: 'log not writing',
    rigClass: 'full',
    phase: 'hold',
    runS: 600,
    limits: { heatOffS: 150, named: [named(60, 'journal-behind')] },
    begin: nothing,
    each: (world, afterS) => {
      world.interference.journalLagMs = afterS * 1000;
    },
  },
  {
    id: 'clock stepped',
    rigClass: 'full',
    phase: 'hold',
    runS: 300,
    limits: { named: [named(10, 'clock-stepped')] },
    begin: (world, random) => {
      world.interference.wallOffMs = 1000 * signed(random, 5, 1e6);
    },
  },
  {
    id: 'nobody there',
    rigClass: 'simple',
    phase: 'hold',
    prepare: asked,
    runS: 2400,
    limits: { heatOffS: 1210, named: [named(1200, 'presence-due'), named(1210, 'presence-lapsed')] },
    begin: (world) => world.say({ kind: 'here' }),
  },
  {
    id: 'left alone, then the second probe goes',
    rigClass: 'full',
    phase: 'hold',
    prepare: proven,
    runS: 3000,
    limits: { heatOffS: 1300, named: [named(60, 'unattended-lacks'), named(1300, 'presence-lapsed')] },
    begin: (world, random) => {
      world.say({ kind: 'answer-alarm-test' });
      world.say({ kind: 'set-attendance', unattended: true });
      world.step();
      probe('absent', undefined, 'second')(world, random);
    },
  },
  {
    id: 'no way to a person works',
    rigClass: 'full',
    phase: 'hold',
    runS: 300,
    limits: { named: [named(70, 'nobody-reachable')] },
    begin: failing(2, 2),
  },
  {
    id: 'one way to a person fails',
    rigClass: 'full',
    phase: 'hold',
    runS: 300,
    limits: { named: [named(40, 'channel-failing')] },
    begin: failing(2, 1),
  },
  {
    id: 'left alone, then no way to a person works',
    rigClass: 'full',
    phase: 'hold',
    prepare: proven,
    runS: 3000,
    limits: { heatOffS: 1300, named: [named(10, 'unattended-lacks'), named(1300, 'presence-lapsed')] },
    begin: (world) => {
      world.say({ kind: 'answer-alarm-test' });
      world.say({ kind: 'set-attendance', unattended: true });
      world.step();
      failing(2, 2)(world);
    },
  },
  {
    id: 'food that nobody entered',
    rigClass: 'simple',
    phase: 'hold',
    runS: 900,
    limits: { named: [named(TEN_MIN, 'load-unexplained')] },
    begin: (world, random) => {
      const massKg = world.scene.spec.litres * uniformBetween(random, 0.12, 0.2);
      for (let i = 0; i < 3; i++) {
        world.event({
          type: 'bag-in',
          bagId: `untold-${i}`,
          thicknessMm: 45,
          massKg: massKg / 3,
          beta: 0.7,
          diffusivity: 1.3e-7,
          conductivity: 0.48,
          startC: 4,
        });
      }
    },
  },
  {
    id: 'hot water poured in, a little',
    rigClass: 'simple',
    phase: 'hold',
    runS: 900,
    limits: { named: [named(TEN_MIN, 'bath-high')] },
    begin: pour(98, 2.9),
  },
  {
    id: 'hot water poured in, far too much',
    rigClass: 'simple',
    phase: 'hold',
    prepare: (scene) => ({ ...scene, setpointC: Math.min(scene.setpointC, 68) }),
    runS: 900,
    limits: { heatOffS: 30, named: [named(120, 'over-setpoint'), named(120, 'reading-step')] },
    excuses: [{ limit: 'water', why: 'hot-water-poured', floor: 0 }],
    begin: pour(98, 7),
  },
  {
    id: 'over the hard maximum',
    rigClass: 'simple',
    phase: 'hold',
    prepare: (scene) => ({
      ...scene,
      setpointC: Math.min(scene.setpointC, 70),
      config: { ...scene.config, limits: { hardMaxC: Math.min(scene.setpointC, 70) + 3 } },
    }),
    runS: 900,
    limits: { heatOffS: 60, named: [named(60, 'over-temperature')] },
    // Short of the limit by itself: only heat could take the water over it.
    begin: (world) => pour(98, world.scene.setpointC + 4.2 - world.plant.topC)(world),
  },
  {
    id: 'cold water over warm food',
    rigClass: 'full',
    phase: 'food',
    prepare: mild,
    runS: 2400,
    limits: { named: [named(120, 'bath-below-hot-limit'), named(1200, 'bath-low')] },
    begin: (world) => {
      const { setpointC } = world.scene;
      pour(8, 53 - setpointC)(world);
      world.say({ kind: 'topped-up', litres: 5, celsius: 8 });
      world.event({ type: 'element', condition: 'dead' });
    },
  },
  {
    id: 'lukewarm for hours with food in',
    rigClass: 'full',
    phase: 'food',
    prepare: mild,
    runS: 8 * 3600,
    limits: { named: [named(8 * 3600, 'food-limit-broken')] },
    begin: (world, random) => {
      pour(8, 42 - world.scene.setpointC)(world);
      event({ type: 'element', condition: 'dead' })(world, random);
      world.say({ kind: 'bag-in', bag: { ...LUKEWARM, bagId: `${FOOD_ID}-2` }, agoS: 0 });
    },
  },
  {
    id: 'chilled and nobody reads the core',
    rigClass: 'full',
    phase: 'food',
    runS: 5700,
    // FSIS Appendix B option 1 asks for 80 F within 1.5 h; a quarter of an hour before that somebody is told.
    limits: { named: [named(4600, 'cooling-reading-due')] },
    begin: (world) => {
      world.event({ type: 'bag-out', bagId: FOOD_ID });
      world.say({ kind: 'bag-out', bagId: FOOD_ID, destination: 'chill', chilling: 'ice-water' });
    },
  },
  {
    id: 'filled less than the rig knows',
    rigClass: 'simple',
    phase: 'hold',
    prepare: (scene) => ({ ...scene, setpointC: Math.min(scene.setpointC, 66) }),
    runS: 3600,
    limits: { named: [named(3600, 'rig-drift')] },
    begin: (world) => {
      const { spec } = world.scene;
      world.event({ type: 'leak', mlPerMin: spec.litres * 280 });
    },
    each: (world, afterS) => {
      if (Math.floor(afterS) === 60) world.event({ type: 'leak', mlPerMin: 0 });
      if (Math.floor(afterS) === 90)
        world.say({ kind: 'set-setpoint', setpointC: world.scene.setpointC + 14 });
    },
  },
];

const LUKEWARM = {
  label: 'Second joint',
  cutId: 'pork-neck',
  beta: 0.7,
  thicknessMm: 60,
  massKg: 1,
  startC: 5,
};

import { uniformBetween } from '../../../shared/units/random.ts';
import type { Reading } from '../../../shared/wire/reading.ts';
import { FOOD_ID, type Kind, named, probe, TEN_MIN } from '../kind.ts';
import { signed, sized } from '../scene.ts';

const LOST = { heatOffS: 10, named: [named(60, 'probe-invalid')] };
const JUMPING = { heatOffS: 60, named: [named(60, 'probe-jumping')], never: ['heat-not-stopping'] } as const;
const OUT = { named: [named(TEN_MIN, 'probe-out-of-water')] };
const APART = ['probes-disagree', 'circulation-stopped'] as const;

/** The controller restarts soon after the onset, in the middle of what the reading does, and again and again. */
const restartEvery =
  (everyS: number): NonNullable<Kind['each']> =>
  (world, afterS) => {
    if (Math.floor(afterS) % everyS !== 14) return;
    world.interference.lateS = 19;
    world.interference.restartAwayMs = 20_000;
  };

/** Probes that lie, or say nothing. */
export const PROBE_KINDS: readonly Kind[] = [
  {
    id: 'probe absent, heating up',
    rigClass: 'simple',
    phase: 'heat-up',
    runS: 300,
    limits: LOST,
    begin: probe('absent'),
  },
  {
    id: 'probe absent, holding',
    rigClass: 'full',
    phase: 'hold',
    runS: 300,
    limits: LOST,
    begin: probe('absent'),
  },
  {
    id: 'probe shorted',
    rigClass: 'simple',
    phase: 'heat-up',
    runS: 300,
    limits: LOST,
    begin: probe('short'),
  },
  {
    id: 'same reply for ever',
    rigClass: 'full',
    phase: 'heat-up',
    runS: 300,
    limits: LOST,
    begin: (world) => {
      let last: Reading | null = null;
      world.interference.bath = (reading) => {
        last ??= reading;
        return last;
      };
    },
  },
  {
    id: 'probe says 85 (power-on)',
    rigClass: 'simple',
    phase: 'heat-up',
    runS: 300,
    limits: LOST,
    begin: probe('power-on'),
  },
  {
    id: 'probe answers now and then',
    rigClass: 'simple',
    phase: 'hold',
    runS: 900,
    limits: { named: [named(TEN_MIN, 'probe-failing')] },
    begin: probe('intermittent', (random) => uniformBetween(random, 0.3, 0.9)),
  },
  {
    id: 'probe stuck, heating up',
    rigClass: 'simple',
    phase: 'heat-up',
    runS: 5400,
    limits: {
      heatOffS: 60,
      named: [
        named(TEN_MIN, 'probe-stuck', 'loss-high', 'heat-no-rise'),
        { by: ['probe-stuck'], withinS: 5400, limit: 'named at last' },
      ],
    },
    excuses: [{ limit: 'named at last', why: 'stuck-or-dead', floor: 0.7 }],
    begin: probe('stuck'),
  },
  {
    id: 'probe stuck, holding',
    rigClass: 'simple',
    phase: 'hold',
    runS: 3600,
    limits: { heatOffS: 60 },
    begin: probe('stuck'),
  },
  {
    id: 'probe jumping, holding',
    rigClass: 'simple',
    phase: 'hold',
    runS: 900,
    limits: JUMPING,
    begin: probe('jumping', (random) => sized(random, 2, 20)),
  },
  {
    id: 'probe jumping, heating up',
    rigClass: 'full',
    phase: 'heat-up',
    runS: 900,
    limits: JUMPING,
    begin: probe('jumping', (random) => sized(random, 2, 20)),
  },
  {
    id: 'probe noisy',
    rigClass: 'simple',
    phase: 'hold',
    runS: 5400,
    limits: {
      named: [named(TEN_MIN, 'probe-failing', 'probe-jumping')],
      never: [
        'heat-not-stopping',
        'rising-unasked',
        'heat-no-rise',
        'probe-out-of-water',
        'over-temperature',
      ],
    },
    begin: probe('noisy', (random) => sized(random, 0.3, 1.2)),
  },
  {
    id: 'probe very noisy',
    rigClass: 'simple',
    phase: 'hold',
    runS: 900,
    limits: JUMPING,
    begin: probe('noisy', (random) => sized(random, 1.2, 5)),
  },
  {
    id: 'probe out of the water, heating up',
    rigClass: 'simple',
    phase: 'heat-up',
    runS: 3600,
    limits: { named: [named(TEN_MIN, 'probe-out-of-water', 'heat-no-rise', 'reading-step')] },
    begin: probe('out-of-water'),
  },
  {
    id: 'probe out of the water, holding',
    rigClass: 'simple',
    phase: 'hold',
    runS: 3600,
    limits: OUT,
    begin: probe('out-of-water'),
  },
  {
    id: 'probe suddenly reads low',
    rigClass: 'simple',
    phase: 'hold',
    runS: 5400,
    limits: { named: [named(TEN_MIN, 'reading-step')] },
    begin: probe('offset', (random) => -sized(random, 3, 12)),
  },
  {
    id: 'probe suddenly reads wrong, two probes',
    rigClass: 'full',
    phase: 'hold',
    runS: 5400,
    limits: { named: [named(TEN_MIN, 'probes-disagree', 'reading-step')] },
    begin: probe('offset', (random) => signed(random, 2, 12)),
  },
  {
    id: 'probe drifts, two probes',
    rigClass: 'full',
    phase: 'hold',
    runS: 4 * 3600,
    limits: { named: [named(3 * 3600, ...APART)] },
    begin: probe('drift', (random) => signed(random, 1, 6)),
  },
  {
    id: 'lone probe drifts',
    rigClass: 'simple',
    phase: 'hold',
    runS: 4 * 3600,
    limits: {},
    excuses: [{ limit: 'water', why: 'lone-probe-drifts', floor: 0 }],
    begin: probe('drift', (random) => -sized(random, 1, 6)),
  },
  {
    id: 'probe suddenly reads low, then a restart',
    rigClass: 'simple',
    phase: 'hold',
    runS: 5400,
    limits: { named: [named(TEN_MIN, 'reading-step')] },
    begin: probe('offset', (random) => -sized(random, 3, 12)),
    each: restartEvery(1200),
  },
  {
    id: 'probe suddenly reads low, and a jug is told',
    rigClass: 'simple',
    phase: 'hold',
    runS: 5400,
    limits: { named: [named(TEN_MIN, 'reading-step')] },
    begin: probe('offset', (random) => -sized(random, 5, 12)),
    each: (world, afterS) => {
      const litres = 0.015 * world.scene.spec.litres;
      if (Math.floor(afterS) === 120) world.say({ kind: 'topped-up', litres, celsius: null });
    },
  },
  {
    id: 'probe out of the water, restarts meanwhile',
    rigClass: 'simple',
    phase: 'hold',
    runS: 5400,
    limits: OUT,
    begin: probe('out-of-water'),
    each: restartEvery(600),
  },
  {
    id: 'probe drifts, then the hotter one falls silent',
    rigClass: 'full',
    phase: 'hold',
    runS: 4 * 3600,
    limits: { named: [named(3 * 3600, ...APART)] },
    begin: probe('drift', (random) => -sized(random, 3, 6)),
    // Each of these has drifted by two degrees and more by then.
    each: (world, afterS) => {
      if (Math.floor(afterS) === 2700) world.event({ type: 'probe', probe: 'second', fault: 'absent' });
    },
  },
  {
    id: 'second probe lost',
    rigClass: 'full',
    phase: 'hold',
    runS: 900,
    limits: { named: [named(TEN_MIN, 'second-probe-lost')] },
    begin: probe('absent', undefined, 'second'),
  },
  {
    id: 'second probe wrong',
    rigClass: 'full',
    phase: 'hold',
    runS: 1800,
    limits: { named: [named(TEN_MIN, 'probes-disagree')] },
    begin: probe('offset', (random) => signed(random, 2, 8), 'second'),
  },
  {
    id: 'bag comes up',
    rigClass: 'simple',
    phase: 'food',
    runS: 1800,
    limits: { named: [named(TEN_MIN, 'bag-afloat')] },
    excuses: [{ limit: 'named', why: 'bag-afloat', floor: 0 }],
    begin: (world, random) => {
      const addMl = world.plant.bags[0]!.massKg * sized(random, 250, 900);
      world.event({ type: 'bag-air', bagId: FOOD_ID, addMl });
    },
  },
  {
    id: 'bag comes up, a probe in it',
    rigClass: 'full',
    phase: 'food',
    runS: 4 * 3600,
    limits: {
      named: [
        named(TEN_MIN, 'bag-afloat'),
        { by: ['bag-afloat'], withinS: 4 * 3600, limit: 'named at last' },
      ],
    },
    excuses: [
      { limit: 'named', why: 'bag-afloat', floor: 0 },
      { limit: 'named at last', why: 'bag-afloat', floor: 0.5 },
    ],
    begin: (world, random) => {
      world.event({ type: 'core-probe', bagId: FOOD_ID, depth: 0 });
      const addMl = world.plant.bags[0]!.massKg * sized(random, 250, 900);
      world.event({ type: 'bag-air', bagId: FOOD_ID, addMl });
    },
  },
];

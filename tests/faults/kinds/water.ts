import { type Random, uniformBetween } from '../../../shared/units/random.ts';
import { event, type Kind, named, TEN_MIN } from '../kind.ts';
import { type Scene, sized } from '../scene.ts';
import type { World } from '../world.ts';

const LOSING = { named: [named(TEN_MIN, 'loss-high')] };
const STANDING = { named: [named(TEN_MIN, 'circulation-stopped')] };
const LID_OFF = event({ type: 'lid', on: false });
const PUMP_OFF = event({ type: 'pump', on: false });

/** Water so low that the run need not last days: the element's top lies this far under the surface, mm. */
const lowFill =
  (fromMm: number, toMm: number) =>
  (scene: Scene, random: Random): Scene => {
    const { spec } = scene;
    const { bath, second } = spec.probes;
    const fillMm = spec.litres / spec.openingM2;
    const spareMm = uniformBetween(random, fromMm, toMm);
    const up = fillMm - spareMm - spec.elementTopMm;
    const overElement = Math.min(spareMm - 6, bath.heightMm - spec.elementTopMm);
    const probes = {
      ...spec.probes,
      bath: { ...bath, heightMm: spec.elementTopMm + up + overElement },
      second: { ...second, heightMm: second.heightMm + up },
    };
    const levelSwitchMm = spec.levelSwitchMm === null ? null : spec.levelSwitchMm + up;
    const heights = { elementTopMm: spec.elementTopMm + up, elementBottomMm: spec.elementBottomMm + up };
    const spareLitres = (spareMm / fillMm) * spec.litres * 0.95;
    return {
      ...scene,
      spec: { ...spec, ...heights, levelSwitchMm, probes },
      config: { ...scene.config, bath: { ...scene.config.bath, spareLitres } },
    };
  };

/** A leak in mm of level a minute, so that it means the same in a small box as in a large one. */
const leak = (lowMmMin: number, highMmMin: number) => (world: World, random: Random) => {
  const mlPerMin = sized(random, lowMmMin, highMmMin) * world.scene.spec.openingM2 * 1000;
  world.event({ type: 'leak', mlPerMin });
};

/** Heat that leaves, water that leaves, water that stands. */
export const WATER_KINDS: readonly Kind[] = [
  {
    id: 'lid off, holding',
    rigClass: 'simple',
    phase: 'hold',
    runS: 1800,
    limits: LOSING,
    begin: LID_OFF,
  },
  {
    id: 'lid off, food in',
    rigClass: 'full',
    phase: 'food',
    runS: 1800,
    limits: LOSING,
    begin: LID_OFF,
  },
  {
    id: 'lid off, heating up',
    rigClass: 'simple',
    phase: 'heat-up',
    runS: 1200,
    limits: LOSING,
    excuses: [{ limit: 'named', why: 'lid-off-cold', floor: 0.5 }],
    begin: LID_OFF,
  },
  {
    id: 'slow leak, level switch',
    rigClass: 'full',
    phase: 'hold',
    prepare: lowFill(55, 75),
    runS: 4 * 3600,
    limits: { named: [named(TEN_MIN, 'water-low')], aheadS: 900 },
    excuses: [{ limit: 'named', why: 'leak-above-switch', floor: 0 }],
    begin: leak(0.2, 1.2),
  },
  {
    id: 'fast leak, level switch',
    rigClass: 'full',
    phase: 'hold',
    runS: 3600,
    limits: { named: [named(TEN_MIN, 'water-low')], aheadS: 900 },
    excuses: [
      { limit: 'named', why: 'leak-above-switch', floor: 0.2 },
      { limit: 'ahead', why: 'leak-above-switch', floor: 0 },
    ],
    begin: leak(5, 40),
  },
  {
    id: 'leak, no level switch',
    rigClass: 'simple',
    phase: 'hold',
    runS: 5400,
    limits: {
      named: [named(TEN_MIN, 'loss-high', 'water-low-soon', 'rig-drift', 'reading-step')],
      aheadS: 900,
    },
    excuses: [
      { limit: 'named', why: 'leak-unseen', floor: 0 },
      { limit: 'ahead', why: 'leak-unseen', floor: 0 },
      { limit: 'element', why: 'leak-unseen', floor: 0 },
      { limit: 'water', why: 'leak-unseen', floor: 0 },
    ],
    begin: leak(1, 20),
  },
  {
    id: 'boils down, level switch',
    rigClass: 'full',
    phase: 'hold',
    prepare: lowFill(48, 60),
    runS: 10 * 3600,
    limits: { aheadS: 900 },
    begin: LID_OFF,
  },
  {
    id: 'boils down, no level switch',
    rigClass: 'simple',
    phase: 'hold',
    prepare: lowFill(14, 26),
    runS: 8 * 3600,
    limits: { aheadS: 900 },
    begin: LID_OFF,
  },
  {
    id: 'level switch says dry',
    rigClass: 'full',
    phase: 'hold',
    runS: 600,
    limits: { heatOffS: 10, named: [named(60, 'water-low')] },
    begin: event({ type: 'level-switch', fault: 'stuck-dry' }),
  },
  {
    id: 'level switch silent',
    rigClass: 'full',
    phase: 'hold',
    runS: 600,
    limits: { named: [named(60, 'level-switch-lost')] },
    begin: event({ type: 'level-switch', fault: 'absent' }),
  },
  {
    id: 'leak, level switch stuck',
    rigClass: 'full',
    phase: 'hold',
    runS: 3600,
    limits: {},
    excuses: [
      { limit: 'element', why: 'level-switch-stuck-wet', floor: 0 },
      { limit: 'water', why: 'level-switch-stuck-wet', floor: 0 },
    ],
    begin: (world, random) => {
      world.event({ type: 'level-switch', fault: 'stuck-wet' });
      leak(5, 20)(world, random);
    },
  },
  {
    id: 'pump stops, heating up',
    rigClass: 'full',
    phase: 'heat-up',
    runS: 1200,
    limits: STANDING,
    excuses: [{ limit: 'named', why: 'pump-alike', floor: 0.7 }],
    begin: PUMP_OFF,
  },
  {
    id: 'pump stops, holding',
    rigClass: 'full',
    phase: 'hold',
    runS: 3600,
    limits: STANDING,
    excuses: [{ limit: 'named', why: 'pump-under-lid', floor: 0 }],
    begin: PUMP_OFF,
  },
  {
    id: 'pump stops, one probe',
    rigClass: 'simple',
    phase: 'hold',
    runS: 3600,
    limits: STANDING,
    excuses: [{ limit: 'named', why: 'pump-one-probe', floor: 0 }],
    begin: PUMP_OFF,
  },
];

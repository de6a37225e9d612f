import { pick, uniformBetween } from '../../../shared/units/random.ts';
import { all, board, type Excuse, event, type Kind, type Named, named, stick, TEN_MIN } from '../kind.ts';
import type { Scene } from '../scene.ts';

const dead = (withinS: number): Named => ({ by: ['heat-no-rise', 'loss-high'], withinS, ofHeat: true });
const OWN_NAME = {
  by: ['heat-no-rise'],
  withinS: TEN_MIN,
  ofHeat: true,
  limit: 'named by its own name',
} as const;
/** That heat is missing is told within ten minutes; nearly always that none comes, and on any rig that within 20. */
const DEAD = {
  named: [dead(TEN_MIN), OWN_NAME, { by: ['heat-no-rise'], withinS: 1200, ofHeat: true }],
  never: ['heat-not-stopping', 'rising-unasked'],
} as const;
const SLOWLY_NAMED: Excuse = { limit: 'named by its own name', why: 'dead-or-losing', floor: 0.7 };

/** A board that only knows what its pins say, as most. */
const blind = (scene: Scene): Scene => ({ ...scene, fitted: { ...scene.fitted, contacts: false } });
const feeling = (scene: Scene): Scene => ({ ...scene, fitted: { ...scene.fitted, contacts: true } });

/** Heat that does not come, and heat that nobody asked for. */
export const HEAT_KINDS: readonly Kind[] = [
  {
    id: 'element dead, heating up',
    rigClass: 'simple',
    phase: 'heat-up',
    runS: 2400,
    limits: DEAD,
    excuses: [SLOWLY_NAMED],
    begin: event({ type: 'element', condition: 'dead' }),
  },
  {
    id: 'element dead, holding',
    rigClass: 'simple',
    phase: 'hold',
    runS: 4200,
    limits: DEAD,
    excuses: [SLOWLY_NAMED],
    begin: event({ type: 'element', condition: 'dead' }),
  },
  {
    id: 'element dead, restarts meanwhile',
    rigClass: 'simple',
    phase: 'hold',
    runS: 9000,
    limits: { named: [{ by: ['heat-no-rise'], withinS: 7200, ofHeat: true }], never: DEAD.never },
    begin: event({ type: 'element', condition: 'dead' }),
    // No trial of the heat comes to its end within such a stretch.
    each: (world, afterS) => {
      if (Math.floor(afterS) % 290 !== 40) return;
      world.interference.lateS = 9;
      world.interference.restartAwayMs = 10_000;
    },
  },
  {
    id: 'element dead and nobody comes',
    rigClass: 'full',
    phase: 'hold',
    runS: 5 * 3600,
    limits: { named: [dead(TEN_MIN), named(5 * 3600, 'heat-unanswered')] },
    begin: event({ type: 'element', condition: 'dead' }),
  },
  {
    id: 'half the element dead',
    rigClass: 'simple',
    phase: 'heat-up',
    runS: 1200,
    limits: { named: [named(TEN_MIN, 'loss-high', 'rig-drift')] },
    begin: (world, random) =>
      world.event({ type: 'element', condition: 'ok', powerShare: uniformBetween(random, 0.3, 0.55) }),
  },
  {
    id: 'mains gone',
    rigClass: 'full',
    phase: 'hold',
    runS: 1800,
    limits: DEAD,
    excuses: [SLOWLY_NAMED],
    begin: event({ type: 'mains', on: false }),
  },
  {
    id: 'a switch stuck open',
    rigClass: 'full',
    phase: 'heat-up',
    runS: 2400,
    prepare: blind,
    limits: DEAD,
    excuses: [SLOWLY_NAMED],
    begin: (world, random) => stick('open', pick(random, 2) === 0 ? 'regulating' : 'guard')(world, random),
  },
  {
    id: 'lease not honoured',
    rigClass: 'full',
    phase: 'heat-up',
    runS: 900,
    limits: { named: [named(60, 'lease-not-honoured')] },
    begin: all(stick('open', 'regulating'), board({ regulatingClosed: false })),
  },
  {
    id: 'lease refused',
    rigClass: 'full',
    phase: 'heat-up',
    runS: 900,
    limits: { named: [named(60, 'heat-link-lost')] },
    begin: all(stick('open', 'regulating'), board({ leaseRefused: 'the status was over 700 ms old' })),
  },
  {
    id: 'board latched',
    rigClass: 'full',
    phase: 'hold',
    runS: 900,
    limits: { heatOffS: 10, named: [named(60, 'heat-link-lost')] },
    begin: board({ latched: 'levelLow', regulatingClosed: false, guardClosed: false }),
  },
  {
    id: 'board silent',
    rigClass: 'full',
    phase: 'hold',
    runS: 900,
    limits: { heatOffS: 10, named: [named(60, 'heat-link-lost')] },
    begin: board({ link: 'down' }),
  },
  {
    id: 'regulating switch welds, holding',
    rigClass: 'full',
    phase: 'hold',
    runS: 9000,
    prepare: blind,
    limits: {
      unaskedS: 120,
      named: [{ by: ['rising-unasked'], withinS: 9000, limit: 'named at last' }],
    },
    excuses: [{ limit: 'named at last', why: 'weld-behind-guard', floor: 0.7 }],
    begin: stick('welded', 'regulating'),
  },
  {
    id: 'regulating switch welds, heating up',
    rigClass: 'full',
    phase: 'heat-up',
    runS: 9000,
    prepare: blind,
    limits: {
      unaskedS: 120,
      named: [{ by: ['rising-unasked'], withinS: 9000, limit: 'named at last' }],
    },
    excuses: [{ limit: 'named at last', why: 'weld-behind-guard', floor: 0.7 }],
    begin: stick('welded', 'regulating'),
  },
  {
    id: 'regulating switch welds, the board feels it',
    rigClass: 'full',
    phase: 'hold',
    runS: 1800,
    prepare: feeling,
    limits: { unaskedS: 120, named: [{ by: ['switch-welded'], withinS: 120 }] },
    begin: stick('welded', 'regulating'),
  },
  {
    id: 'guard welds',
    rigClass: 'full',
    phase: 'hold',
    runS: 3600,
    prepare: blind,
    limits: { unaskedS: 120 },
    begin: stick('welded', 'guard'),
  },
  {
    id: 'both switches weld',
    rigClass: 'full',
    phase: 'hold',
    runS: 1500,
    prepare: blind,
    limits: { highS: 120, named: [named(300, 'rising-unasked'), named(900, 'heat-not-stopping')] },
    excuses: [
      { limit: 'water', why: 'both-switches-weld', floor: 0 },
      { limit: 'highest alarm', why: 'lone-switch-welds', floor: 0.9 },
    ],
    begin: stick('welded', 'regulating', 'guard'),
  },
  {
    id: 'only switch welds',
    rigClass: 'simple',
    phase: 'hold',
    runS: 1500,
    prepare: blind,
    limits: { highS: 120, named: [named(300, 'rising-unasked'), named(900, 'heat-not-stopping')] },
    excuses: [
      { limit: 'water', why: 'lone-switch-welds', floor: 0 },
      { limit: 'highest alarm', why: 'lone-switch-welds', floor: 0.9 },
    ],
    begin: stick('welded', 'regulating'),
  },
];

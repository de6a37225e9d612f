import { creditedCore } from '../../../shared/food/measured.ts';
import { CALM_C, unrestC } from '../../../shared/food/solver.ts';
import { isChilling } from '../../../shared/hazard/chill.ts';
import { addGrowth } from '../../../shared/hazard/growth.ts';
import { addLethality, interruptLethality, type LethalityState } from '../../../shared/hazard/lethality.ts';
import { addLimits } from '../../../shared/hazard/limits.ts';
import { phaseOf, recordsOf } from '../../../shared/hazard/track-step.ts';
import { trackCore } from '../../../shared/hazard/track-view.ts';
import { addTender } from '../../../shared/tender/kinetics.ts';
import { celsiusOf, stepCore } from './core.ts';
import { filmAt } from './film.ts';
import type { Setup } from './setup.ts';
import { type Stretch, spotOf, type Walk } from './state.ts';
import { substepEnds } from './substeps.ts';
import { bridgeWorst, stepWorst } from './worst.ts';

/** Carries the middle case and the envelope from one row to the next. */
export function stepWalk(setup: Setup, walk: Walk, stretch: Stretch): Walk {
  const cooked = setup.cookedBy.some((i) => isMet(walk.middle.lethality[i]!));
  const begun: Walk = {
    ...walk,
    chilling: isChilling(walk.chilling, cooked, stretch.toC),
    coldestC: Math.min(walk.coldestC, stretch.fromC, stretch.toC),
  };
  return stretch.gap ? bridge(setup, begun, stretch) : measured(setup, begun, stretch);
}

const isMet = ({ metAtS, dwell }: LethalityState) =>
  metAtS !== null || (dwell !== null && dwell.metAtS !== null);

function measured(setup: Setup, walk: Walk, stretch: Stretch): Walk {
  let next = walk;
  let before = 0;
  const startS = stretch.atS - stretch.seconds;
  const water = line(stretch.fromC, stretch.toC, stretch.seconds);
  const core = stretch.core ? line(stretch.core.fromC, stretch.core.toC, stretch.seconds) : null;
  for (const end of substepEnds(stretch.seconds, firstSubstep(setup, walk, stretch))) {
    const part: Stretch = {
      fromC: water(before),
      toC: water(end),
      seconds: end - before,
      atS: end === stretch.seconds ? stretch.atS : startS + end,
      gap: false,
      core: core ? { fromC: core(before), toC: core(end) } : null,
      readC: core ? core(end) : end === stretch.seconds || stretch.readC === undefined ? stretch.readC : null,
    };
    next = stepWorst(setup, stepMiddle(setup, next, part), part);
    before = end;
  }
  return next;
}

/** The first substep of a piece of about 5 mm, s: a thinner one is thin. */
const THIN_S = 1.3;
/** The longest stretch that is taken so, s. */
const CALM_STEP_S = 2;

/**
 * The longest first substep for a stretch, s. A thin piece that is as warm as the water needs none within a second: what
 * its core departs from a straight line is under a third of what it lies from the water.
 */
function firstSubstep(
  { firstSubstepS }: Setup,
  { track, core }: Walk,
  { fromC, toC, seconds }: Stretch,
): number {
  if (firstSubstepS > THIN_S || seconds <= firstSubstepS || seconds > CALM_STEP_S) return firstSubstepS;
  const bodies = core.kind === 'layers' ? [...track.profiles, core.profile] : track.profiles;
  return bodies.every((profile) => unrestC(profile, fromC, toC) <= CALM_C) ? CALM_STEP_S : firstSubstepS;
}

const line = (from: number, to: number, seconds: number) => (s: number) =>
  s === seconds ? to : from + ((to - from) * s) / seconds;

/** The middle case through a part in which its core is nearly a straight line. */
function stepMiddle(setup: Setup, walk: Walk, part: Stretch): Walk {
  const { standards } = setup;
  const { profile, models } = recordsOf(walk.track.setup);
  const { seconds, atS } = part;
  const fromC = celsiusOf(setup.model, walk.core);
  const film = filmAt(setup.film, (part.fromC + part.toC) / 2).middle;
  const core = stepCore(setup.model, walk.core, part.fromC, part.toC, seconds, film);
  const toC = celsiusOf(setup.model, core);
  const { middle } = walk;
  const read = part.core ?? { fromC, toC };
  const mostC = part.core ? trackCore(walk.track).highC : 0;
  const credit = (modelC: number, celsius: number) =>
    creditedCore(
      { leastC: modelC, middleC: modelC, mostC: Math.max(modelC, mostC) },
      { celsius, errorC: 0, coldSpot: spotOf(setup, walk) },
      walk.coldestC,
    ).celsius;
  const [creditFromC, creditToC] = part.core
    ? [credit(fromC, read.fromC), credit(toC, read.toC)]
    : [fromC, toC];
  const step = {
    lower: { from: Math.min(fromC, read.fromC), to: Math.min(toC, read.toC) },
    upper: { from: Math.max(fromC, read.fromC), to: Math.max(toC, read.toC) },
    seconds,
    atS,
  };
  const phase = phaseOf(walk.chilling, middle.lethality[0]);
  return {
    ...walk,
    core,
    middle: {
      maxC: Math.max(middle.maxC, toC),
      lethality: middle.lethality.map((s, i) =>
        addLethality(standards[i]!, s, creditFromC, creditToC, seconds, atS),
      ),
      limits: addLimits(profile, middle.limits, step, phase, walk.track.setup.roast),
      growth: addGrowth(models, middle.growth, fromC, toC, seconds, walk.chilling),
      tender: addTender(middle.tender, fromC, toC, seconds),
    },
  };
}

/**
 * Across a gap nothing is credited and holds are broken; the core goes on in water as cold as the colder end; growth
 * is counted as at its fastest, for nobody knows what the core did.
 */
function bridge(setup: Setup, walk: Walk, gap: Stretch): Walk {
  const { profile, models } = recordsOf(walk.track.setup);
  const waterC = Math.min(gap.fromC, gap.toC);
  const film = filmAt(setup.film, waterC).middle;
  let { core } = walk;
  let { limits } = walk.middle;
  let before = 0;
  const startS = gap.atS - gap.seconds;
  let fromC = celsiusOf(setup.model, core);
  let { maxC } = walk.middle;
  for (const end of substepEnds(gap.seconds, setup.firstSubstepS)) {
    core = stepCore(setup.model, core, waterC, waterC, end - before, film);
    const toC = celsiusOf(setup.model, core);
    const edge = { from: fromC, to: toC };
    const step = { lower: edge, upper: edge, seconds: end - before, atS: startS + end };
    const phase = phaseOf(walk.chilling, walk.middle.lethality[0]);
    limits = addLimits(profile, limits, step, phase, walk.track.setup.roast);
    maxC = Math.max(maxC, toC);
    fromC = toC;
    before = end;
  }
  const bridged: Walk = {
    ...walk,
    core,
    middle: {
      ...walk.middle,
      maxC,
      limits,
      lethality: walk.middle.lethality.map(interruptLethality),
      growth: addGrowth(models, walk.middle.growth, Number.NaN, Number.NaN, gap.seconds, walk.chilling),
    },
  };
  return bridgeWorst(setup, bridged, gap);
}

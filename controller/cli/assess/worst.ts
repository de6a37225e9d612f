import type { CoreFlag } from '../../../shared/food/measured.ts';
import { stepWatched } from '../../../shared/hazard/core-watch.ts';
import { addGrowth, startGrowth } from '../../../shared/hazard/growth.ts';
import { addLimits, coreStep, type LimitState } from '../../../shared/hazard/limits.ts';
import type { Track } from '../../../shared/hazard/track.ts';
import { recordsOf, type WaterStretch } from '../../../shared/hazard/track-step.ts';
import { trackCore } from '../../../shared/hazard/track-view.ts';
import { filmAt } from './film.ts';
import type { Setup } from './setup.ts';
import { recordedSpot, type Stretch, type Walk } from './state.ts';

/** Carries the envelope through a measured part; a reading of the core bears on its credit as in a cook under way. */
export function stepWorst(setup: Setup, walk: Walk, part: Stretch): Walk {
  return withExtremes(watched(setup, walk, part, waterOf(setup, walk, part)));
}

function watched(setup: Setup, walk: Walk, { readC, atS }: Stretch, water: WaterStretch): Walk {
  const { track, watch, takenBack } = stepWatched(walk.track, walk.watch, water, {
    celsius: readC,
    coldSpot: recordedSpot(setup),
    coldestC: walk.coldestC,
    byHand: null,
    clockS: atS,
    wallMs: 0,
  });
  return {
    ...walk,
    track,
    watch,
    takenBackAtS: takenBack ? atS : walk.takenBackAtS,
    coreFlags: counted(walk.coreFlags, watch.measured?.flags ?? [], atS),
  };
}

/**
 * The envelope across a gap: the slow case in the colder end's water, the fast in the hotter's; the whole gap counts
 * as time in every band, and growth as at its fastest.
 */
export function bridgeWorst(setup: Setup, walk: Walk, gap: Stretch): Walk {
  const { profile, models } = recordsOf(walk.track.setup);
  const across = watched(setup, walk, gap, { ...waterOf(setup, walk, gap), gap: true });
  const crossed = across.track;
  const unknown = coreStep(Number.NaN, Number.NaN, gap.seconds, gap.atS);
  // Whether cooked food stayed hot is not known either; but that it did not is more than an unread row can say.
  const phase = walk.chilling ? 'cooling' : 'cooking';
  const limit = (state: LimitState) => addLimits(profile, state, unknown, phase, walk.track.setup.roast);
  const { limits, growth } = walk.track.worst;
  const [first, second] = addGrowth(
    models,
    startGrowth(),
    Number.NaN,
    Number.NaN,
    gap.seconds,
    false,
  ).warming;
  const grown = (sums: readonly number[]) => sums.map((sum, i) => sum + (i % 2 === 0 ? first : second));
  const track: Track = {
    ...crossed,
    worst: {
      ...crossed.worst,
      limits: [limit(limits[0]), limit(limits[1])],
      growth: walk.chilling
        ? { ...growth, cooling: grown(growth.cooling) }
        : { ...growth, warming: grown(growth.warming) },
    },
  };
  return withExtremes({ ...across, track });
}

function waterOf(setup: Setup, walk: Walk, { fromC, toC, seconds, atS }: Stretch): WaterStretch {
  const film = filmAt(setup.film, (fromC + toC) / 2);
  return { fromC, toC, seconds, atS, film, cooling: walk.chilling };
}

function withExtremes(walk: Walk): Walk {
  const { lowC, highC } = trackCore(walk.track);
  return {
    ...walk,
    coldMaxC: Math.max(walk.coldMaxC, lowC),
    hotMaxC: Math.max(walk.hotMaxC, highC),
  };
}

function counted(seen: Walk['coreFlags'], flags: readonly CoreFlag[], atS: number): Walk['coreFlags'] {
  if (flags.length === 0) return seen;
  const next = { ...seen };
  for (const flag of flags) {
    const before = next[flag];
    next[flag] = { count: (before?.count ?? 0) + 1, firstS: before?.firstS ?? atS };
  }
  return next;
}

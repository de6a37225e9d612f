import type { Track } from './track.ts';
import { phaseOf, recordsOf } from './track-step.ts';
import { trackResult } from './track-view.ts';
import { growthVerdict, lethalityVerdict, limitVerdicts, type Verdict } from './verdict.ts';

/**
 * What a bag is judged to be at time `atS`, each hazard on its own worst case: what is broken first, then the standard
 * the food is judged by, its limits, growth, and the other standards.
 */
export function trackVerdicts(track: Track, atS: number): Verdict[] {
  const { slower, profile } = recordsOf(track.setup);
  const { worst } = trackResult(track, atS);
  const lethality = slower.map((s, i) => lethalityVerdict(s, track.worst.lethality[i]!, atS, track.hottestC));
  const phase = phaseOf(worst.limits.cooling !== null, track.worst.lethality[0]);
  const limits = limitVerdicts(profile, worst.limits, phase, track.setup.roast);
  const all = [...lethality.slice(0, 1), ...limits, growthVerdict(worst.growth), ...lethality.slice(1)];
  return [...all.filter((v) => v.status === 'broken'), ...all.filter((v) => v.status !== 'broken')];
}

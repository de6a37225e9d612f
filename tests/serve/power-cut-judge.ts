import type { OutageBag, OutageLength } from '../../controller/tick/outage/state.ts';
import { GROWTH_CEILING_LOG10 } from '../../shared/hazard/growth.ts';
import type { Outcome } from './power-cut-world.ts';

/** What one power cut comes to, held against the plant's truth. */
export interface Judged {
  readonly seed: number;
  readonly trueS: number;
  readonly length: OutageLength;
  /** The true length lies in the interval that was stated. */
  readonly inside: boolean;
  /** An identified rig, a measured room and an untouched lid: then the likely length by the cooling is held to 15 % or 3 min. */
  readonly held: boolean;
  readonly offS: number;
  readonly near: boolean;
  /** Bags, and those credited with more than they got or held to less than grew. */
  readonly bags: number;
  readonly lethalityAbove: readonly string[];
  readonly growthBelow: readonly string[];
  /** Largest growth in the worst case that no true growth of 0.1 log stands behind, log10. */
  readonly feared: number;
}

/** What the event of a power cut carries. */
interface Told {
  readonly length: OutageLength;
  readonly bags: readonly OutageBag[];
}

/** Half a second of seconds counted by whole ones. */
const TICK_S = 2;
const ROUNDING = 1e-9;

/** Judges one power cut: the totals, and what the power cut and the two minutes after it added. */
export function judge({ drawn, event, before, after }: Outcome): Judged {
  const { length, bags } = event.data as unknown as Told;
  const trueS = drawn.outageS;
  const likelyS = length.cooling?.middleS ?? length.countsS;
  const held = drawn.identified && drawn.roomKnown && drawn.lidOff === null && length.cooling !== null;
  const offS = likelyS - trueS;
  const lethalityAbove: string[] = [];
  const growthBelow: string[] = [];
  let feared = 0;
  for (const bag of bags) {
    const [from, to] = [before.get(bag.bagId), after.get(bag.bagId)];
    if (!from || !to) continue;
    const killed = bag.lethality[1] - bag.lethality[0];
    const grown = bag.growth[1] - bag.growth[0];
    if (bag.lethality[1] > to.lethality + ROUNDING || killed > to.lethality - from.lethality + ROUNDING)
      lethalityAbove.push(
        `${bag.bagId}: ${bag.lethality.join(' to ')}, truth ${from.lethality} to ${to.lethality}`,
      );
    // At the ceiling both say "all there can be": the rise to it then tells only how much was held before.
    const full = bag.growth[1] >= GROWTH_CEILING_LOG10;
    const less = grown < to.growth - from.growth - ROUNDING;
    if (bag.growth[1] < to.growth - ROUNDING || (less && !full))
      growthBelow.push(`${bag.bagId}: ${bag.growth.join(' to ')}, truth ${from.growth} to ${to.growth}`);
    if (to.growth - from.growth < 0.1) feared = Math.max(feared, grown);
  }
  return {
    seed: drawn.seed,
    trueS,
    length,
    inside: trueS >= length.lowS - TICK_S && trueS <= length.highS + TICK_S,
    held,
    offS,
    near: Math.abs(offS) <= Math.max(180, 0.15 * trueS),
    bags: bags.length,
    lethalityAbove,
    growthBelow,
    feared,
  };
}

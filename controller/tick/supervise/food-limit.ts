import { type Finding, quiet } from '../alarm/step.ts';
import { breachCount, breachesOf } from '../estimate/bag.ts';
import { isChilling } from '../estimate/chill.ts';
import type { Context } from './context.ts';

/** A growth, come-up, holding or cooling limit once broken stays broken; while the bag is in or chilling, it is told. */
export function checkFoodLimit({ state }: Context): Finding {
  const broken = state.bags.filter(
    (bag) => (bag.outAtMs === null || isChilling(bag)) && breachCount(bag.estimate) > 0,
  );
  if (broken.length === 0) return quiet('food-limit-broken');
  const words = broken.map(({ spec, estimate }) => {
    const first = breachesOf(estimate)[0];
    return `${spec.label}: ${first?.words ?? ''}`;
  });
  return {
    alarmId: 'food-limit-broken',
    active: true,
    renewed: state.newlyBroken,
    heatOff: false,
    detail: words.join(' '),
  };
}

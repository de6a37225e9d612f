import type { TickState } from './tick/state.ts';

/**
 * The bag that the core probe is in, as the cook last said by naming its cold spot; null where no such bag is in the
 * bath. The rig itself forgets it in a restart.
 */
export function coreBagOf({ bags }: Pick<TickState, 'bags'>): string | null {
  const spots = bags
    .filter((bag) => bag.outAtMs === null && bag.coldSpot !== null)
    .sort((a, b) => (a.coldSpot?.atS ?? 0) - (b.coldSpot?.atS ?? 0));
  return spots.at(-1)?.spec.bagId ?? null;
}

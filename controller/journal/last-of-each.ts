import type { BagRow } from '../../shared/wire/record.ts';

/** One row a bag, the last where a tick brought several, in the order of their ids. */
export function lastOfEach(bags: readonly BagRow[]): readonly BagRow[] {
  if (bags.length < 2) return bags;
  const byId = new Map(bags.map((bag) => [`${bag.cookId}/${bag.bagId}`, bag]));
  return [...byId.values()].sort((a, b) => (a.bagId < b.bagId ? -1 : a.bagId > b.bagId ? 1 : 0));
}

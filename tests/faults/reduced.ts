import { expect, it } from 'vitest';
import { runFault } from './fault-run.ts';
import type { Kind } from './kind.ts';
import { failed } from './summary.ts';

/** Seeds of the reduced set. The whole campaign takes a hundred: npm run campaign. */
const SEEDS = [1, 2, 3];

/** Runs kinds over the reduced set, a test a kind. */
export function holdKinds(kinds: readonly Kind[]): void {
  for (const kind of kinds) {
    it(`keeps its limits: ${kind.id} (${kind.rigClass} rig)`, () => {
      const broken = SEEDS.map((seed) => runFault(kind, seed))
        .filter((result) => failed(kind, result))
        .map(({ seed, broken: limits }) => `seed ${seed}: ${limits.map((one) => one.text).join('; ')}`);
      expect(broken).toEqual([]);
    });
  }
}

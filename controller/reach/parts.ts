import type { Edges } from './edges.ts';
import type { ReachOptions } from './options.ts';
import type { PushDesk } from './push-desk.ts';
import type { ReachState } from './state.ts';
import type { Saver } from './store.ts';
import type { Troubles } from './troubles.ts';
import type { Parts } from './work.ts';

/** All that `startReach` puts together. */
export interface ReachParts {
  readonly options: ReachOptions;
  readonly parts: Parts;
  readonly state: ReachState;
  /** A clock that only runs forward. */
  readonly clockMs: () => number;
  readonly edges: Edges;
  readonly desk: PushDesk;
  readonly savers: { readonly plan: Saver; readonly push: Saver };
  readonly troubles: Troubles;
  readonly random: (count: number) => Uint8Array;
}

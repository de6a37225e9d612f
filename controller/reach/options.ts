import type { Priority } from '../../shared/wire/alarm.ts';
import type { ReachConfig } from '../../shared/wire/reach.ts';
import type { DeliveryRow } from '../../shared/wire/reach-view.ts';
import type { ReachClock } from './clock.ts';
import type { openEdges } from './edges.ts';
import type { ReachStore } from './store.ts';

export interface ReachOptions {
  readonly config: ReachConfig;
  readonly kitchen: string;
  readonly clock: ReachClock;
  readonly store: ReachStore;
  readonly log: (line: string) => void;
  /** Each line of the delivery log, as it is written: for the journal. */
  readonly onRow?: (row: DeliveryRow) => void;
  /** Lines of the delivery log from before this start, oldest first. */
  readonly history?: readonly DeliveryRow[];
  /** Hears of each proof that a person was reached. */
  readonly onProof?: (proof: Proof) => void;
  /** The rig's sounder; without it there is none. */
  readonly sound?: (level: Priority | null) => void | Promise<void>;
  /** How many pages are open. */
  readonly viewers?: () => number;
  readonly env?: Readonly<Record<string, string | undefined>>;
  readonly randomBytes?: (count: number) => Uint8Array;
  /** The ways out; the real ones unless a test gives its own. */
  readonly openEdges?: typeof openEdges;
  readonly timeoutMs?: number;
  /** Why an address may not be used for push; a test on this machine has its own. */
  readonly endpointFault?: (endpoint: string) => string | null;
  /** Whether a push service may have that address; a test on this machine has its own. */
  readonly mayPushTo?: (address: string) => boolean;
}

/** How the ways of calling stand. */
export interface WaysReport {
  readonly failing: readonly { readonly channel: string; readonly why: string }[];
  readonly ways: number;
  readonly waysFailing: number;
}

/** What a test of reachability came to. */
export type TestStart =
  | { readonly ok: true; readonly channels: readonly string[]; readonly tooSoon: readonly string[] }
  | { readonly ok: false; readonly why: 'unknown' };

/** Proof that somebody was reached. */
export interface Proof {
  readonly personId: string;
  readonly person: string;
  readonly channelId: string;
  readonly channel: string;
  readonly kind: string;
  readonly answeredMs: number;
  /** By the clock that only runs forward. */
  readonly ageMs: number;
}

export type AnswerEnd =
  | { readonly ok: true; readonly proof: Proof }
  | { readonly ok: false; readonly why: 'unknown' | 'too-many' };

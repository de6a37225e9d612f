import type { Command, CommandResult } from '../../shared/wire/command.ts';
import type { PlantEventMessage, PlantTruth } from '../../shared/wire/plant.ts';
import type { EventRow, Sample } from '../../shared/wire/rows.ts';
import type { Installation, Status } from '../../shared/wire/status.ts';
import type { JournalReader } from '../journal/reader.ts';
import type { PlanDesk } from './plans/desk.ts';
import type { HandedRoute } from './routes-handed.ts';

/** What the journal has just put on disk. Everything in it may be shown to people. */
export interface Committed {
  readonly samples: readonly Sample[];
  readonly events: readonly EventRow[];
  readonly status: Status;
  readonly throughSequence: number;
}

/** The simulated bath behind the developer panel. */
export interface PlantPort {
  apply(event: PlantEventMessage): void;
  truth(): PlantTruth;
}

/** All that the server may ask of the controller. Wired in controller/main.ts; faked in the tests. */
export interface Hub {
  readonly bootId: string;
  readonly installation: Installation;
  /** The state after the last committed tick; null until the first commit of this run. */
  latest(): { status: Status; sequence: number } | null;
  /**
   * Resolves once the tick took the command in AND the journal committed what it decided.
   * Rejects with BathkeeperError.
   */
  submit(command: Command): Promise<CommandResult>;
  /** Calls back after each commit, in order; gives the function that ends it. */
  onCommitted(listener: (committed: Committed) => void): () => void;
  /** Age of the oldest row not yet committed, in milliseconds. */
  journalLagMs(): number;
  readonly reader: JournalReader;
  /** Null on a real rig. */
  readonly plant: PlantPort | null;
  /** The plans of this kitchen; absent where a test needs none. */
  readonly plans?: PlanDesk;
  /** Routes of other parts of the controller, and the content policy of those that answer with a page. */
  readonly handed?: { readonly routes: readonly HandedRoute[]; readonly htmlPolicy: string };
}

import type { BagVersion, CommandRow, CookVersion, RunRow } from '../../shared/wire/export.ts';
import type { AlarmRow, BagRow, CookRow } from '../../shared/wire/record.ts';
import type { EventRow, Sample, TierRow, TierWidth } from '../../shared/wire/rows.ts';
import type { TickInput } from '../../shared/wire/tick.ts';
import type { ChainRange, KeptTier } from './chain-range.ts';
import type { FoundLink } from './leaves.ts';
import type { PageCall } from './queries.ts';
import { Link } from './rpc.ts';
import { startWorker } from './spawn.ts';

/** The most rows that one call of `samples` gives, whatever it asks for. */
export const SAMPLES_PAGE_MAX = 2000;

/** What a restart needs to go on where the log ends. */
export interface Resume {
  readonly snapshot: {
    readonly sequence: number;
    readonly stateJson: string;
    readonly codeVersion: string;
    /** A later tick's link covers it. */
    readonly sealed: boolean;
  } | null;
  /** Every input after the snapshot (or from the first tick on) up to the last committed. */
  readonly inputs: readonly TickInput[];
  /** Sequences missing between the snapshot and the end (dropped at the bound of the queue); normally 0. */
  readonly missing: number;
  readonly lastSequence: number;
  readonly runningCook: CookRow | null;
  /** Wall clock of the last committed tick. */
  readonly lastWallMs: number | null;
}

/** A cook with everything but its samples. */
export interface CookDetail {
  readonly cook: CookRow;
  readonly bags: readonly BagRow[];
  /** Every version of the cook and of each bag, in the order they were written. */
  readonly cookVersions: readonly CookVersion[];
  readonly bagVersions: readonly BagVersion[];
  readonly alarms: readonly AlarmRow[];
  readonly events: readonly EventRow[];
  readonly commands: readonly CommandRow[];
  readonly runs: readonly RunRow[];
}

/** The configuration that held from the tick after a sequence on. */
export interface RunConfig {
  readonly afterSequence: number;
  readonly configJson: string;
}

/** Where a replay of a cook begins and ends, and which configuration held when. */
export interface ReplayPlan {
  readonly firstSequence: number;
  readonly throughSequence: number;
  /** The last snapshot before the cook; null where the log itself begins with it. */
  readonly snapshot: {
    readonly sequence: number;
    readonly stateJson: string;
    readonly codeVersion: string;
  } | null;
  /** Every run of the controller, oldest first. */
  readonly runs: readonly {
    readonly afterSequence: number;
    readonly codeVersion: string;
    readonly configJson: string;
  }[];
}

/** One recorded tick: its input, and what came of it as the exact text on disk. */
export interface Recorded {
  readonly input: TickInput;
  readonly sample: string;
  readonly events: readonly string[];
  readonly alarms: readonly string[];
  readonly commands: readonly string[];
  /** The whole state after this tick, where a snapshot was taken. */
  readonly stateJson: string | null;
}

/**
 * The read side: a read-only connection in a worker of its own, so that a long read never delays a
 * commit. Sees only what is committed. An unknown cook rejects with `cook-unknown`, a file that
 * cannot be read with `journal-unreadable`. `cookId` null means: outside any cook.
 */
export interface JournalReader {
  /** `mostSequence`: from no whole state kept after a later tick than that. */
  resume(mostSequence?: number): Promise<Resume>;
  /** All inputs of a cook, in order, for a replay. */
  inputs(cookId: string, fromSequence?: number): AsyncIterable<TickInput>;
  inputAt(sequence: number): Promise<TickInput | null>;
  /** All cooks, oldest first. */
  cooks(): Promise<CookRow[]>;
  cook(cookId: string): Promise<CookDetail>;
  /** Samples with a sequence above `afterSequence`, ascending, at most `limit`. */
  samples(
    cookId: string | null,
    afterSequence: number,
    limit: number,
    throughSequence?: number,
  ): Promise<Sample[]>;
  /** Complete buckets that start in [fromMs, toMs), in the order they were recorded. */
  tiers(cookId: string, widthS: TierWidth, fromMs: number, toMs: number): Promise<TierRow[]>;
  events(cookId: string | null, afterSequence: number): Promise<EventRow[]>;
  /** The configuration of each run that ticks of a cook came from, oldest first. */
  configs(cookId: string): Promise<RunConfig[]>;
  /** `from`: begin at the last state kept by that tick; without it at the last before the cook. */
  replayPlan(cookId: string, from?: number): Promise<ReplayPlan>;
  /** Recorded ticks after a sequence, of whatever cook, ascending, at most `limit`. */
  recorded(afterSequence: number, throughSequence: number, limit: number): Promise<Recorded[]>;
  /** Ticks after a sequence, of whatever cook, with what the chain says of them; at most `limit`. */
  links(afterSequence: number, throughSequence: number, limit: number): Promise<FoundLink[]>;
  /** The ticks that hold the rows of a cook, or of the whole log (null). */
  chainRange(cookId: string | null): Promise<ChainRange>;
  /** The rows of one tier of a cook as they are kept, readable or not, for a check. */
  keptTiers(cookId: string, widthS: TierWidth): Promise<KeptTier[]>;
  lastSequence(): Promise<number>;
  close(): Promise<void>;
}

/** Inputs fetched at a time; a replay holds no more than these. */
const INPUTS_PAGE = 500;

/**
 * Opens a log for reading, whether or not a controller is writing to it. Rejects with `journal-unreadable`
 * where there is no log, it is damaged, or its schema is not the one this version reads, and with
 * `database-missing` where the SQLite library cannot be loaded.
 */
export async function openReader(path: string): Promise<JournalReader> {
  const link = new Link(startWorker('read-worker', import.meta.url, null));
  try {
    await link.call('open', path);
  } catch (error) {
    await link.end();
    throw error;
  }
  return {
    resume: (mostSequence = Number.MAX_SAFE_INTEGER) => link.call('resume', mostSequence),
    inputs: (cookId, fromSequence = 0) => allInputs(link, cookId, fromSequence - 1),
    inputAt: (sequence) => link.call('inputAt', sequence),
    cooks: () => link.call('cooks'),
    cook: (cookId) => link.call('cook', cookId),
    samples: (cookId, after, limit, through = Number.MAX_SAFE_INTEGER) =>
      link.call('samples', { cookId, after, through, limit: Math.min(limit, SAMPLES_PAGE_MAX) }),
    tiers: (cookId, widthS, fromMs, toMs) => link.call('tiers', { cookId, widthS, fromMs, toMs }),
    events: (cookId, after) => link.call('events', { cookId, after }),
    configs: (cookId) => link.call('configs', cookId),
    replayPlan: (cookId, from = 0) => link.call('replayPlan', { cookId, from }),
    recorded: (after, through, limit) =>
      link.call('recorded', { after, through, limit: Math.min(limit, SAMPLES_PAGE_MAX) }),
    links: (after, through, limit) =>
      link.call('links', { after, through, limit: Math.min(limit, SAMPLES_PAGE_MAX) }),
    keptTiers: (cookId, widthS) => link.call('keptTiers', { cookId, widthS }),
    chainRange: (cookId) => link.call('chainRange', cookId),
    lastSequence: () => link.call('lastSequence'),
    close: () => link.end(),
  };
}

async function* allInputs(link: Link, cookId: string, afterSequence: number): AsyncGenerator<TickInput> {
  const through = Number.MAX_SAFE_INTEGER;
  for (let after = afterSequence; ; ) {
    const call: PageCall = { cookId, after, limit: INPUTS_PAGE, through };
    const page = await link.call<TickInput[]>('inputs', call);
    yield* page;
    const last = page.at(-1);
    if (!last || page.length < INPUTS_PAGE) return;
    after = last.sequence;
  }
}

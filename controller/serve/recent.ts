import type { EventRow, Sample } from '../../shared/wire/rows.ts';
import type { Status } from '../../shared/wire/status.ts';
import type { Committed } from './hub.ts';

/** The state after the last commit. */
export interface Latest {
  readonly status: Status;
  readonly throughSequence: number;
}

interface Kept {
  /** The last sequence before this commit. */
  readonly afterSequence: number;
  readonly committed: Committed;
}

/** The latest commits, kept once for all viewers, so that each can step from the past into the present without a hole. */
export class Recent {
  readonly #maxSamples: number;
  #kept: Kept[] = [];
  #samples = 0;
  #latest: Latest | null;

  /** `latest` is what was committed before anybody listened. */
  constructor(maxSamples: number, latest: Latest | null) {
    this.#maxSamples = maxSamples;
    this.#latest = latest;
  }

  get latest(): Latest | null {
    return this.#latest;
  }

  /** Takes in a commit. Older ones are dropped beyond the bound, but never the newest. */
  push(committed: Committed): void {
    const first = committed.samples[0];
    const before = this.#latest?.throughSequence ?? (first ? first.sequence - 1 : committed.throughSequence);
    this.#kept.push({ afterSequence: before, committed });
    this.#samples += committed.samples.length;
    while (this.#samples > this.#maxSamples && this.#kept.length > 1) {
      this.#samples -= this.#kept.shift()?.committed.samples.length ?? 0;
    }
    this.#latest = { status: committed.status, throughSequence: committed.throughSequence };
  }

  /** All that was committed after a sequence; null where memory does not reach back so far. */
  after(sequence: number): { samples: Sample[]; events: EventRow[] } | null {
    if (sequence === this.#latest?.throughSequence) return { samples: [], events: [] };
    const oldest = this.#kept[0];
    if (oldest === undefined || sequence < oldest.afterSequence) return null;
    const later = this.#kept.filter((one) => one.committed.throughSequence > sequence);
    return {
      samples: later.flatMap((one) => one.committed.samples.filter((row) => row.sequence > sequence)),
      events: later.flatMap((one) => one.committed.events.filter((row) => row.sequence > sequence)),
    };
  }
}

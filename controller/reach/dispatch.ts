import type { Edge } from './edge/edge.ts';
import type { Send } from './outbox.ts';
import type { Outcome, Result } from './work.ts';

/** How to carry out a duty. */
export type DutyAction = (signal: AbortSignal) => Promise<Outcome>;

/**
 * Starts what the plan decided and gathers what comes back, without ever waiting for it: the next step of the plan
 * takes the results in.
 */
export class Dispatch {
  private readonly edges: ReadonlyMap<string, Edge>;
  private readonly duties: ReadonlyMap<string, DutyAction>;
  private readonly underWay = new Map<
    string,
    { readonly stop: AbortController; readonly done: Promise<void> }
  >();
  private results: Result[] = [];

  constructor(edges: ReadonlyMap<string, Edge>, duties: ReadonlyMap<string, DutyAction>) {
    this.edges = edges;
    this.duties = duties;
  }

  /** Begins an attempt at a letter. */
  send({ letterId, attempt, channel, message }: Send): void {
    const edge = this.edges.get(channel.id);
    const report = (outcome: Outcome): void => {
      this.results.push({ of: 'letter', letterId, attempt, outcome });
    };
    this.start(
      `letter ${letterId}`,
      async (signal) => {
        report(edge ? await edge.send(message, signal) : broken('there is no such channel'));
      },
      report,
    );
  }

  /** Carries out a duty, unless it is still at it from last time. */
  carryOut(channelId: string): void {
    const action = this.duties.get(channelId);
    if (!action || this.underWay.has(`duty ${channelId}`)) return;
    const report = (outcome: Outcome): void => {
      this.results.push({ of: 'duty', channelId, outcome });
    };
    this.start(`duty ${channelId}`, async (signal) => report(await action(signal)), report);
  }

  /** Breaks off the attempt at a letter. */
  abandon(letterId: number): void {
    this.underWay.get(`letter ${letterId}`)?.stop.abort();
  }

  /** What came back since it was last asked. */
  take(): Result[] {
    const { results } = this;
    this.results = [];
    return results;
  }

  /** Resolves once nothing is under way. */
  async idle(): Promise<void> {
    while (this.underWay.size > 0) await Promise.all([...this.underWay.values()].map((one) => one.done));
  }

  /** Breaks everything off. */
  async close(): Promise<void> {
    for (const { stop } of this.underWay.values()) stop.abort();
    await this.idle();
  }

  private start(
    key: string,
    task: (signal: AbortSignal) => Promise<void>,
    report: (outcome: Outcome) => void,
  ): void {
    this.underWay.get(key)?.stop.abort();
    const stop = new AbortController();
    const done = task(stop.signal)
      // An edge that throws is at fault itself; its channel fails, the controller goes on.
      .catch((error: unknown) => report(broken(`something failed that should not (${nameOf(error)})`)))
      .finally(() => {
        if (this.underWay.get(key)?.stop === stop) this.underWay.delete(key);
      });
    this.underWay.set(key, { stop, done });
  }
}

const nameOf = (error: unknown): string => (error instanceof Error ? error.name : 'unknown');

const broken = (why: string): Outcome => ({
  ok: false,
  permanent: false,
  at: 'answer',
  why,
  retryAfterMs: null,
});

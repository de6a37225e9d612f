import type { Worker } from 'node:worker_threads';
import { BathkeeperError } from '../../shared/wire/errors.ts';
import type { TickRecord } from '../../shared/wire/record.ts';
import { journalError } from './driver.ts';
import type { Committed, Journal, JournalOptions, OpenReport } from './journal.ts';
import { HoldQueue } from './queue.ts';
import { Link } from './rpc.ts';
import type { Batch } from './store.ts';
import type { OpenCall } from './write-worker.ts';

/** A sample waits this long for others, so that commits are few; with the commit itself it stays within 2 s. */
const COMMIT_EVERY_MS = 1500;
/** After a failed attempt the next follows after this, doubling up to the longest, in ms. */
const RETRY_FIRST_MS = 250;
const RETRY_LONGEST_MS = 5000;
/** A failure that goes on unchanged is told again this often, in ms. */
const REMIND_MS = 60_000;
/** How long `close` waits for the disk before it gives up, in ms. */
const CLOSE_PATIENCE_MS = 10_000;

export type StartWorker = () => Worker;

/** The main-thread half of the journal: holds records, sends them in batches, tells what was committed. */
export class JournalClient implements Journal {
  readonly report: OpenReport;
  readonly #options: JournalOptions;
  readonly #start: StartWorker;
  readonly #queue = new HoldQueue();
  readonly #committed = new Set<(committed: Committed) => void>();
  readonly #failure = new Set<(error: BathkeeperError) => void>();
  #link: Link;
  #sending = false;
  #closing = false;
  #ended = false;
  #timer: NodeJS.Timeout | null = null;
  #retryMs = 0;
  #lastWritten: number;
  #flushes: { through: number; resolve(): void; reject(error: Error): void }[] = [];
  /** When each failure was last told, by its words; forgotten with the next commit. */
  readonly #toldAtMs = new Map<string, number>();

  private constructor(link: Link, report: OpenReport, options: JournalOptions, start: StartWorker) {
    this.#link = link;
    this.report = report;
    this.#options = options;
    this.#start = start;
    this.#lastWritten = report.lastSequence;
  }

  /** Starts the worker and opens the log in it. Rejects with what kept it from opening. */
  static async open(options: JournalOptions, start: StartWorker): Promise<JournalClient> {
    const { link, report } = await openLink(options, start, true);
    return new JournalClient(link, report, options, start);
  }

  write(record: TickRecord): void {
    const { sequence } = record.sample;
    if (this.#closing) {
      this.#tell(this.#error(`tick ${sequence} came after the log was closed`));
    } else if (sequence <= this.#lastWritten) {
      this.#tell(this.#error(`tick ${sequence} came after tick ${this.#lastWritten}; it was not kept`));
    } else {
      this.#lastWritten = sequence;
      const before = this.#queue.leftOut;
      this.#queue.push(record);
      if (this.#queue.leftOut > before) this.#tell(this.#error(this.#boundText()));
      this.#schedule();
    }
  }

  snapshot(sequence: number, stateJson: string): void {
    if (this.#closing) return;
    this.#queue.pushSnapshot(sequence, stateJson);
    this.#schedule();
  }

  onCommitted(listener: (committed: Committed) => void): () => void {
    this.#committed.add(listener);
    return () => void this.#committed.delete(listener);
  }

  onFailure(listener: (error: BathkeeperError) => void): () => void {
    this.#failure.add(listener);
    return () => void this.#failure.delete(listener);
  }

  lagMs(nowMs: number): number {
    const oldest = this.#queue.oldestMs;
    return oldest === null ? 0 : Math.max(0, (nowMs - oldest) / this.#options.speed);
  }

  flush(): Promise<void> {
    const through = this.#lastWritten;
    if (!this.#queue.holds(through)) return Promise.resolve();
    return new Promise((resolve, reject) => {
      this.#flushes.push({ through, resolve, reject });
      void this.#send();
    });
  }

  async close(): Promise<void> {
    if (this.#closing) return;
    this.#closing = true;
    let patience: NodeJS.Timeout | null = null;
    const late = new Promise<never>((_resolve, reject) => {
      const error = this.#error('the disk did not take the last records in time');
      patience = setTimeout(() => reject(error), CLOSE_PATIENCE_MS);
    });
    try {
      await Promise.race([this.flush().then(() => this.#link.call('close')), late]);
    } finally {
      this.#ended = true;
      if (patience) clearTimeout(patience);
      if (this.#timer) clearTimeout(this.#timer);
      await this.#link.end();
    }
  }

  /** Sends now what is urgent, else sets the clock; while an attempt is under way or waits for its turn, nothing. */
  #schedule(): void {
    if (this.#sending || this.#retryMs > 0) return;
    if (this.#queue.urgent) void this.#send();
    else this.#timer ??= setTimeout(() => void this.#send(), this.#options.commitEveryMs ?? COMMIT_EVERY_MS);
  }

  async #send(): Promise<void> {
    if (this.#sending) return;
    if (this.#timer) clearTimeout(this.#timer);
    this.#timer = null;
    const batch = this.#queue.take();
    if (!batch) return;
    this.#sending = true;
    try {
      if (this.#link.stopped) this.#link = (await openLink(this.#options, this.#start, false)).link;
      await this.#link.call('commit', batch);
    } catch (error) {
      this.#sending = false;
      return this.#failed(journalError(error, 'commit'));
    }
    this.#sending = false;
    this.#succeeded(batch);
  }

  #succeeded(batch: Batch): void {
    this.#queue.confirm();
    this.#retryMs = 0;
    this.#toldAtMs.clear();
    const last = batch.records.at(-1);
    if (last) {
      const committed = { throughSequence: last.sample.sequence, records: batch.records };
      for (const listener of this.#committed) listener(committed);
    }
    const flushed = this.#flushes.filter(({ through }) => !this.#queue.holds(through));
    this.#flushes = this.#flushes.filter(({ through }) => this.#queue.holds(through));
    for (const { resolve } of flushed) resolve();
    if (this.#flushes.length > 0) void this.#send();
    else if (!this.#queue.empty) this.#schedule();
  }

  #failed(error: BathkeeperError): void {
    for (const { reject } of this.#flushes.splice(0)) reject(error);
    if (this.#ended) return;
    this.#retryMs = Math.min(RETRY_LONGEST_MS, this.#retryMs * 2 || RETRY_FIRST_MS);
    if (!this.#timer) this.#timer = setTimeout(() => void this.#send(), this.#retryMs);
    this.#tell(error);
  }

  /** Tells a failure when it is new, and from time to time while it lasts; never within the tick's own call. */
  #tell(error: BathkeeperError): void {
    const nowMs = performance.now();
    if (nowMs - (this.#toldAtMs.get(error.detail) ?? Number.NEGATIVE_INFINITY) < REMIND_MS) return;
    this.#toldAtMs.set(error.detail, nowMs);
    for (const listener of this.#failure) queueMicrotask(() => listener(error));
  }

  #error(detail: string): BathkeeperError {
    return new BathkeeperError('journal-failed', `(${detail})`);
  }

  #boundText(): string {
    return this.#queue.refusing
      ? 'too many commands and alarms wait for the disk; nothing more is taken until the controller is started again'
      : 'two hours of samples wait for the disk; the oldest are now left out and will show as a gap';
  }
}

async function openLink(
  options: JournalOptions,
  start: StartWorker,
  newRun: boolean,
): Promise<{ link: Link; report: OpenReport }> {
  const link = new Link(start());
  const { path, bootId, codeVersion, configJson, speed } = options;
  const wallMs = options.wallMs ?? Date.now();
  try {
    const call: OpenCall = { path, bootId, codeVersion, configJson, speed, wallMs, newRun };
    return { link, report: await link.call<OpenReport>('open', call) };
  } catch (error) {
    await link.end();
    throw error;
  }
}

import type { Status } from '../../shared/wire/status.ts';
import { clientMessageSchema, type Hello, type Live } from '../../shared/wire/stream.ts';
import { type BackfillRequest, backfill, type PastReader } from './backfill.ts';
import type { Committed } from './hub.ts';
import type { StreamLimits } from './limits.ts';
import type { Recent } from './recent.ts';

/** Close codes of RFC 6455 section 7.4.1 and the IANA registry (1013: try again later). */
export const CLOSE = { goingAway: 1001, policy: 1008, internal: 1011, tryLater: 1013 } as const;

/** One end of a WebSocket, as far as a viewer needs it. */
export interface ViewerSocket {
  send(text: string): void;
  /** Bytes of text handed over so far. */
  sentBytes(): number;
  /** How many of them the other end is known to have received. `moved` must be called when this grows. */
  receivedBytes(): number;
  close(code: number, reason: string): void;
}

/** What all viewers share. */
export interface ViewerShared {
  readonly reader: PastReader;
  readonly recent: Recent;
  readonly limits: StreamLimits;
  readonly counts: StreamCounts;
  monotonicMs(): number;
  /** Reports a fault nobody else sees. */
  fault(error: unknown): void;
}

/** Counted since the start, for the metrics. */
export interface StreamCounts {
  messages: number;
  backfills: number;
  degraded: number;
  refused: number;
  lost: number;
}

type Phase = 'greeting' | 'catching-up' | 'live' | 'closed';

/**
 * One viewer, from greeting to the end. It is always at one sequence, `#through`, and gets what
 * comes after it either from the journal (catching up) or from the commit at hand (live), never both.
 */
export class Viewer {
  readonly #socket: ViewerSocket;
  readonly #shared: ViewerShared;
  #phase: Phase = 'greeting';
  #through = 0;
  /** The cook whose past was sent last; undefined before the first. */
  #cookId: string | null | undefined;
  #slow = false;
  #behindSinceMs = 0;
  /** Where in what was sent the last status of a slow viewer ends. */
  #degradedEnd = 0;
  /** Rows were left out since the last backfill ended: another must follow before live rows may. */
  #owesPast = false;
  #wakers: (() => void)[] = [];

  constructor(socket: ViewerSocket, shared: ViewerShared) {
    this.#socket = socket;
    this.#shared = shared;
  }

  greet(hello: Hello): void {
    this.#send(JSON.stringify(hello));
  }

  /** Takes the one message a viewer may send: what it has. Anything else ends the connection. */
  receive(text: string): void {
    const sequence = this.#phase === 'greeting' ? resumeSequence(text) : null;
    if (sequence === null) {
      this.end(CLOSE.policy, 'bad-request');
      return;
    }
    this.#through = sequence;
    void this.#catchUp(false);
  }

  /** The time to say what it has is over. */
  greetingOver(): void {
    if (this.#phase === 'greeting') this.end(CLOSE.policy, 'bad-request');
  }

  /** Forwards a commit; `text` gives the live message for it, made once for all viewers. */
  committed({ status, samples, throughSequence }: Committed, text: () => string): void {
    this.moved();
    if (this.#phase === 'catching-up') this.#offerDegraded(status);
    if (this.#phase !== 'live') return;
    const { slowBytes, liveSamples } = this.#shared.limits;
    const slow = this.#waitingBytes() > slowBytes;
    if (slow || samples.length > liveSamples || cookIdOf(status) !== this.#cookId) {
      void this.#catchUp(slow);
      if (slow) this.#offerDegraded(status);
      return;
    }
    this.#send(text());
    this.#through = throughSequence;
  }

  /** Sends a message that may be left out: to a slow viewer it is. */
  offer(text: string): void {
    if (this.#waitingBytes() <= this.#shared.limits.slowBytes) this.#send(text);
  }

  /** The other end has received more, or the latest commit has changed. */
  moved(): void {
    const wakers = this.#wakers;
    this.#wakers = [];
    for (const wake of wakers) wake();
  }

  end(code: number, reason: string): void {
    if (this.#phase === 'closed') return;
    this.closed();
    this.#socket.close(code, reason);
  }

  /** The socket is gone; whatever still waits is let go. */
  closed(): void {
    this.#phase = 'closed';
    this.moved();
  }

  async #catchUp(slow: boolean): Promise<void> {
    this.#phase = 'catching-up';
    this.#slow = slow;
    this.#behindSinceMs = this.#shared.monotonicMs();
    try {
      while (this.#behind()) {
        await this.#room();
        await this.#until(() => this.#shared.recent.latest !== null);
        if (this.#behind()) await this.#sendPast();
        if (this.#behind()) this.#stepIntoPresent();
      }
    } catch (error) {
      this.#shared.fault(error);
      this.end(CLOSE.internal, 'journal-failed');
    }
  }

  /** A method, for the phase changes under every await. */
  #behind(): boolean {
    return this.#phase === 'catching-up';
  }

  async #sendPast(): Promise<void> {
    const latest = this.#shared.recent.latest;
    if (latest === null) return;
    const cookId = cookIdOf(latest.status);
    const request: BackfillRequest = {
      cookId,
      afterSequence: this.#through,
      throughSequence: latest.throughSequence,
      wallMs: latest.status.wallMs,
      messageChars: this.#shared.limits.messageChars,
    };
    this.#shared.counts.backfills += 1;
    for await (const message of backfill(this.#shared.reader, request)) {
      if (!this.#behind()) return;
      if (message.done) this.#owesPast = false;
      this.#send(JSON.stringify(message));
      // The next is read only when there is room for it at the other end.
      await this.#room();
    }
    this.#cookId = cookId;
    this.#through = latest.throughSequence;
  }

  /**
   * From the past into the present. No await between looking at the latest commit and going live:
   * the next commit then finds this viewer live, at exactly the sequence before it.
   */
  #stepIntoPresent(): void {
    const { recent, limits } = this.#shared;
    const latest = recent.latest;
    if (latest === null || cookIdOf(latest.status) !== this.#cookId || this.#owesPast) return;
    const rest = recent.after(this.#through);
    if (rest === null || rest.samples.length > limits.liveSamples) return;
    const live: Live = { type: 'live', ...rest, status: latest.status, degraded: false };
    this.#send(JSON.stringify(live));
    this.#through = latest.throughSequence;
    this.#phase = 'live';
    this.#slow = false;
  }

  /** The latest status alone, labelled; at most one waits at a time, so memory stays bounded. */
  #offerDegraded(status: Status): void {
    const patient = this.#shared.monotonicMs() - this.#behindSinceMs < this.#shared.limits.patienceMs;
    const waiting = this.#socket.receivedBytes() < this.#degradedEnd;
    if (waiting || (patient && !this.#slow)) return;
    this.#owesPast = true;
    this.#shared.counts.degraded += 1;
    const live: Live = { type: 'live', samples: [], events: [], status, degraded: true };
    this.#send(JSON.stringify(live));
    this.#degradedEnd = this.#socket.sentBytes();
  }

  #send(text: string): void {
    if (this.#phase === 'closed') return;
    this.#shared.counts.messages += 1;
    this.#socket.send(text);
  }

  #waitingBytes(): number {
    return this.#socket.sentBytes() - this.#socket.receivedBytes();
  }

  #room(): Promise<void> {
    return this.#until(() => this.#waitingBytes() < this.#shared.limits.windowBytes);
  }

  /** Waits for a condition that can change at a commit, at a receipt or at the end. */
  async #until(holds: () => boolean): Promise<void> {
    while (this.#behind() && !holds()) {
      await new Promise<void>((resolve) => {
        this.#wakers.push(resolve);
      });
    }
  }
}

function cookIdOf(status: Status): string | null {
  return status.cook?.cookId ?? null;
}

function resumeSequence(text: string): number | null {
  try {
    const parsed = clientMessageSchema.safeParse(JSON.parse(text));
    return parsed.success ? parsed.data.sequence : null;
  } catch {
    return null;
  }
}

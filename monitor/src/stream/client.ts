import type { Backfill, ClientMessage, Hello, Live, ServerMessage } from '../../../shared/wire/stream.ts';
import { delayMs } from './backoff.ts';
import { decode } from './decode.ts';

/** Without any message for this long the page says that it is not connected. */
export const SILENCE_MS = 5000;

/** The part of a WebSocket that is used. */
export interface SocketLike {
  send(text: string): void;
  close(): void;
  onmessage: ((event: { data: unknown }) => void) | null;
  onclose: (() => void) | null;
  onerror: (() => void) | null;
}

/** The world around the client: sockets, time and chance, so that tests can hold them. */
export interface StreamWorld {
  open(): SocketLike;
  now(): number;
  setTimer(run: () => void, ms: number): unknown;
  clearTimer(timer: unknown): void;
  random(): number;
}

export type LinkState = 'opening' | 'live' | 'waiting';

export interface Link {
  readonly state: LinkState;
  /** When the last `live` or beat came over a connection that carries data; null before the first. */
  readonly heardAtMs: number | null;
  /** When the next try is due; null unless waiting. */
  readonly nextTryAtMs: number | null;
  /** What went wrong last, in words; null while all is well. */
  readonly fault: string | null;
}

export interface StreamSink {
  hello(message: Hello): void;
  backfill(message: Backfill): void;
  live(message: Live): void;
  paired(paired: boolean): void;
  link(link: Link): void;
  /** Newest sequence held, for the next resume. */
  lastSequence(): number;
}

/** Keeps one connection to the controller's stream: resumes, notices silence, comes back with growing pauses. */
export class StreamClient {
  private readonly world: StreamWorld;
  private readonly sink: StreamSink;
  private socket: SocketLike | null = null;
  private silence: unknown = null;
  private retry: unknown = null;
  private attempt = 0;
  private bootId: string | null = null;
  /** Everything up to here is held without holes on the way. */
  private resumeFrom = 0;
  private backfillDue = true;
  private current: Link = { state: 'opening', heardAtMs: null, nextTryAtMs: null, fault: null };

  constructor(world: StreamWorld, sink: StreamSink) {
    this.world = world;
    this.sink = sink;
  }

  /** Opens the connection; it is kept up until `stop`. */
  start(): void {
    this.connect();
  }

  stop(): void {
    this.drop();
    this.clearRetry();
  }

  /** The page came back into view or online: if the link is not known to be good, try at once. */
  wake(): void {
    const heard = this.current.heardAtMs;
    const fresh = heard !== null && this.world.now() - heard < SILENCE_MS;
    if (this.current.state === 'live' && fresh) return;
    this.attempt = 0;
    this.drop();
    this.connect();
  }

  private connect(): void {
    this.clearRetry();
    this.backfillDue = true;
    this.set({ state: 'opening', nextTryAtMs: null });
    let socket: SocketLike;
    try {
      socket = this.world.open();
    } catch {
      this.fail('The connection could not be opened.');
      return;
    }
    this.socket = socket;
    socket.onmessage = (event) => this.receive(socket, event.data);
    socket.onclose = () => this.lost(socket);
    socket.onerror = () => this.lost(socket);
    this.watchSilence();
  }

  private lost(socket: SocketLike): void {
    if (socket === this.socket) this.fail('The connection to the controller was lost.');
  }

  private receive(socket: SocketLike, data: unknown): void {
    if (socket !== this.socket) return;
    const decoded = decode(data);
    if (!decoded.ok) {
      this.fail(
        `The controller sent something this page cannot read (${decoded.why}). Reload the page; if it goes on, page and controller are of different versions.`,
      );
      return;
    }
    this.watchSilence();
    this.handle(socket, decoded.message);
  }

  private handle(socket: SocketLike, message: ServerMessage): void {
    switch (message.type) {
      case 'hello':
        this.sink.hello(message);
        this.resume(socket, message.bootId);
        return;
      case 'backfill':
        this.sink.backfill(message);
        if (message.reset) this.resumeFrom = 0;
        if (message.done) {
          this.backfillDue = false;
          this.resumeFrom = this.sink.lastSequence();
        }
        return;
      case 'live':
        this.sink.live(message);
        if (message.degraded) this.backfillDue = true;
        if (!this.backfillDue) this.resumeFrom = this.sink.lastSequence();
        this.attempt = 0;
        this.set({ state: 'live', heardAtMs: this.world.now(), fault: null });
        return;
      case 'beat':
        // Before the first `live` of a connection the status shown is still the old one: a beat must not freshen it.
        if (this.current.state === 'live') this.set({ heardAtMs: this.world.now() });
        else this.set({ fault: 'The controller answers, but has sent no measurement yet.' });
        return;
      case 'paired':
        this.sink.paired(message.paired);
    }
  }

  private resume(socket: SocketLike, bootId: string): void {
    const message: ClientMessage = { type: 'resume', bootId: this.bootId, sequence: this.resumeFrom };
    this.bootId = bootId;
    socket.send(JSON.stringify(message));
  }

  private watchSilence(): void {
    if (this.silence !== null) this.world.clearTimer(this.silence);
    this.silence = this.world.setTimer(() => {
      this.silence = null;
      // Silence needs no words of its own: the page says for how long nothing was heard.
      this.fail(null);
    }, SILENCE_MS);
  }

  private fail(fault: string | null): void {
    this.drop();
    const wait = delayMs(this.attempt, this.world.random());
    this.attempt++;
    this.clearRetry();
    this.retry = this.world.setTimer(() => {
      this.retry = null;
      this.connect();
    }, wait);
    this.set({ state: 'waiting', nextTryAtMs: this.world.now() + wait, fault });
  }

  private drop(): void {
    const socket = this.socket;
    this.socket = null;
    if (this.silence !== null) this.world.clearTimer(this.silence);
    this.silence = null;
    if (!socket) return;
    socket.onmessage = null;
    socket.onclose = null;
    socket.onerror = null;
    socket.close();
  }

  private clearRetry(): void {
    if (this.retry !== null) this.world.clearTimer(this.retry);
    this.retry = null;
  }

  private set(change: Partial<Link>): void {
    this.current = { ...this.current, ...change };
    this.sink.link(this.current);
  }
}

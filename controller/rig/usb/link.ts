import type { Duplex } from 'node:stream';
import firmata, { type FirmataBoard } from 'firmata-io';
import five from 'johnny-five';
import type { AnalogueProbe } from '../../../shared/wire/analogue.ts';
import {
  BOARD_ID,
  type BoardAnswer,
  type BoardLimitsReadBack,
  type BoardStatus,
  clearFrame,
  decodeBoardMessage,
  leaseFrame,
  limitsFrame,
  limitsQueryFrame,
  releaseFrame,
  sounderFrame,
  tripFrame,
} from '../../../shared/wire/board.ts';
import { refuseAnalogue } from './analogue-reader.ts';
import type { ForeignOptions } from './foreign.ts';
import { isOurs, limitsAnswerFault, limitsOf, readBackFault, statusFault } from './handshake.ts';
import { Probes } from './probes.ts';
import { ScreenedPort } from './screened-port.ts';
import { statusView } from './status-view.ts';
import type { AnswerView, BoardView, LinkPhase, Order, RigFault, StatusView, Wanted } from './view.ts';

export interface LinkOptions {
  /** An open port, or one that is about to open. */
  readonly transport: Duplex;
  /** Monotonic, ms. All stamps and deadlines are by it. */
  readonly nowMs: () => number;
  /** Null: probes are read, heat is never asked for. */
  readonly wanted: Wanted | null;
  /** Probes on analogue pins; only a board without our firmware is asked for them. */
  readonly analogue?: readonly AnalogueProbe[];
  /** Called after anything has changed. */
  readonly onChange?: () => void;
}

/** firmata-io asks for the version after this; at once would be lost in a board's reset. */
const REPORT_VERSION_MS = 200;
/** Boards with a bootloader take some 2 s to begin (common practice, no source). */
const GREETING_MS = 7000;
/** Limits, their answer and the read-back, each within this; then they are sent again. */
const STEP_MS = 1500;
const MOST_STEPS = 4;
/** The board drops a connection after 10 s without a word. */
const KEEP_ALIVE_MS = 3000;
const BLOCK_NO_SESSION = 1;
const LIMITS_TAG = 1;
const QUERY_TAG = 2;

/**
 * One connection to one board, from its first word to its last. Never reopened: after `closed` or `refused` a new port
 * and a new link are made. It keeps no time of its own: `poll` is to be called a few times a second.
 */
export class BoardLink {
  private readonly options: LinkOptions;
  private readonly port: ScreenedPort;
  private readonly begunMs: number;
  private io: FirmataBoard | null = null;
  private probes: Probes | null = null;
  private phase: LinkPhase = 'greeting';
  private fault: RigFault | null = null;
  private status: StatusView | null = null;
  private answer: AnswerView | null = null;
  private session = 0;
  private sentMs: number;
  private stepMs = Number.NEGATIVE_INFINITY;
  private steps = 0;

  constructor(options: LinkOptions) {
    this.options = options;
    this.begunMs = options.nowMs();
    this.sentMs = this.begunMs;
    this.port = new ScreenedPort(
      options.transport,
      (frame) => this.hear(frame),
      (error) => this.broken(error),
    );
  }

  /** Begins to talk. Call once the port is open. */
  start(): void {
    const io = new firmata.Firmata(this.port, { reportVersionTimeout: REPORT_VERSION_MS });
    this.io = io;
    io.on('error', (error: Error) => this.broken(error));
    io.once('ready', () => {
      // A board object made before this, or on a mute board, can hang without an error.
      const board = new five.Board({ io, repl: false, debug: false, sigint: false });
      board.on('error', (error: Error) => this.broken(error));
      board.once('ready', () => this.greeted(board));
    });
  }

  /** Deadlines, repeats of the handshake, and the word that keeps the connection. Leases are never sent from here. */
  poll(): void {
    const now = this.options.nowMs();
    if (this.phase === 'greeting' && now - this.begunMs > GREETING_MS) {
      this.refuse({ code: 'rig-mute', detail: `No word from the board for ${GREETING_MS / 1000} s.` });
    }
    if (this.phase === 'limits' && now - this.stepMs > STEP_MS) this.sendLimits();
    if ((this.phase === 'ready' || this.phase === 'limits') && now - this.sentMs > KEEP_ALIVE_MS) {
      this.send(limitsQueryFrame(QUERY_TAG));
    }
  }

  /** Carries out an order once, or drops it where the link is not ready for it. */
  order(order: Order): void {
    const heard = this.status !== null && this.phase !== 'closed';
    if (!heard) return;
    switch (order.kind) {
      case 'lease': {
        if (this.phase !== 'ready') return;
        const { tag, nonce, ms, regulating, guard } = order;
        const switches = { regulating, guard };
        this.send(leaseFrame({ tag, nonce, session: this.session, durationMs: ms, switches }));
        return;
      }
      case 'clear':
        if (this.phase === 'ready') this.send(clearFrame(order.tag, order.nonce, this.session, order.cause));
        return;
      case 'release':
        this.send(releaseFrame(0));
        return;
      case 'trip':
        this.send(tripFrame(0, order.detail));
        return;
      case 'sound':
        this.send(sounderFrame(0, order.pattern, order.seconds));
    }
  }

  /** Everything known now. */
  view(): BoardView {
    return {
      phase: this.phase,
      fault: this.fault,
      boardName: this.io?.firmware.name?.slice(0, 80) ?? null,
      status: this.status,
      probes: this.probes?.views(this.options.nowMs()) ?? [],
      answer: this.answer,
    };
  }

  /** What a reader of foreign boards needs; null until the board has spoken. */
  reader(): Pick<ForeignOptions, 'io' | 'probes' | 'analogue' | 'port'> | null {
    const { io, probes, port } = this;
    return io !== null && probes !== null
      ? { io, probes, port, analogue: this.options.analogue ?? [] }
      : null;
  }

  /** Releases heat and listens no more. The port is the caller's. */
  close(): void {
    if (this.phase === 'closed') return;
    this.order({ kind: 'release' });
    this.phase = 'closed';
    this.port.detach();
    this.changed();
  }

  private greeted(board: InstanceType<typeof five.Board>): void {
    if (this.phase !== 'greeting') return;
    this.probes = new Probes(board);
    const name = this.io?.firmware.name;
    if (!isOurs(name)) {
      this.phase = 'reading';
      this.fault = {
        code: 'rig-foreign-firmware',
        detail: `It calls itself "${(name ?? '').slice(0, 60)}".`,
      };
    } else {
      this.fault = refuseAnalogue(this.probes, this.options.analogue ?? [], this.options.nowMs());
      this.phase = this.options.wanted === null ? 'reading' : 'limits';
      if (this.phase === 'limits' && this.status !== null) this.sendLimits();
    }
    this.changed();
  }

  private hear(frame: number[]): void {
    if (this.phase === 'closed') return;
    const message = decodeBoardMessage(frame);
    switch (message.kind) {
      case 'status':
        this.hearStatus(message);
        break;
      case 'probe':
        this.probes?.hear(message, this.options.nowMs());
        break;
      case 'limits':
        this.hearLimits(message);
        break;
      case 'answer':
        this.hearAnswer(message);
        break;
      default:
        return;
    }
    this.changed();
  }

  private hearStatus(status: BoardStatus): void {
    const before = this.status;
    this.status = statusView(status, this.options.nowMs());
    const fault = statusFault(status, this.options.wanted);
    if (fault !== null) {
      if (this.phase !== 'refused') this.refuse(fault);
      return;
    }
    if (this.phase === 'limits' && before === null) this.sendLimits();
    // The board was reset, or let the connection go: the handshake begins again, and leases wait for it.
    if (this.phase === 'ready' && (status.blocks & BLOCK_NO_SESSION) !== 0) this.again();
  }

  private again(): void {
    this.phase = 'limits';
    this.session = 0;
    this.steps = 0;
    this.sendLimits();
  }

  private sendLimits(): void {
    const { wanted, nowMs } = this.options;
    if (wanted === null || this.status === null) return;
    if (this.steps >= MOST_STEPS) {
      this.refuse({ code: 'rig-mute', detail: 'The board reports itself but does not answer to limits.' });
      return;
    }
    this.steps++;
    this.stepMs = nowMs();
    this.send(limitsFrame(LIMITS_TAG, limitsOf(wanted)));
    this.send(limitsQueryFrame(QUERY_TAG));
  }

  private hearLimits(back: BoardLimitsReadBack): void {
    const { wanted } = this.options;
    if (wanted === null || (this.phase !== 'limits' && this.phase !== 'ready')) return;
    const fault = readBackFault(back, wanted);
    if (fault === null) {
      this.session = back.session;
      this.phase = 'ready';
      this.steps = 0;
    } else if (this.phase === 'ready') this.again();
    // A read-back may be of limits that another host set before; ours are asked for again until the steps run out.
    else if (this.steps >= MOST_STEPS) this.refuse(fault);
  }

  private hearAnswer(answer: BoardAnswer): void {
    const { id, tag, code, detail } = answer;
    if (id === BOARD_ID.limits && this.phase === 'limits') {
      const fault = limitsAnswerFault(answer);
      // A damaged message is sent again; any other refusal would only come again.
      if (fault !== null && code !== 1) this.refuse(fault);
    }
    if (id !== BOARD_ID.lease && id !== BOARD_ID.clear) return;
    const kind = id === BOARD_ID.lease ? 'lease' : 'clear';
    this.answer = { kind, tag, code, detail, arrivedMs: this.options.nowMs() };
  }

  private send(frame: number[]): void {
    this.sentMs = this.options.nowMs();
    this.port.write(Uint8Array.from(frame));
  }

  private refuse(fault: RigFault): void {
    this.fault = fault;
    this.phase = 'refused';
    this.session = 0;
    this.order({ kind: 'release' });
    this.changed();
  }

  private broken(error: Error): void {
    if (this.phase === 'closed') return;
    this.phase = 'closed';
    this.session = 0;
    this.fault ??= { code: 'rig-port-missing', detail: `The link broke: ${error.message}.`.slice(0, 400) };
    this.changed();
  }

  private changed(): void {
    this.options.onChange?.();
  }
}

import type { UsbLink } from '../../hardware/emulator/board/link.ts';
import {
  type BoardLimits,
  type BoardProbe,
  type BoardStatus,
  decodeBoardMessage,
  leaseFrame,
  limitsFrame,
  limitsQueryFrame,
  releaseFrame,
} from '../../shared/wire/board.ts';
import { takeFrames } from '../../shared/wire/board-frame.ts';

/** What the host remembers, as plain data, so that it can be put back together with a board's snapshot. */
export interface HostState {
  session: number;
  status: BoardStatus | null;
  bath: BoardProbe | null;
  pending: number[];
  durationMs: number;
  /** Renews leases at each tick. */
  renewing: boolean;
  refusals: number[];
}

/**
 * The least a host must do, written from hardware/firmware/PROTOCOL.md: set limits, read them back, and answer the
 * latest status with a lease each tick. It looks at nothing else: whatever goes wrong, it wants heat. So what opens
 * the circuit in the campaign is the board alone.
 */
export class LeaseHost {
  state: HostState = {
    session: 0,
    status: null,
    bath: null,
    pending: [],
    durationMs: 1600,
    renewing: false,
    refusals: [],
  };
  readonly #link: UsbLink;

  constructor(link: UsbLink) {
    this.#link = link;
    link.onByte((byte) => this.#hear(byte));
  }

  /** Sets limits and asks for the session that goes with them. */
  connect(limits: BoardLimits): void {
    this.#link.write([...limitsFrame(1, limits), ...limitsQueryFrame(2)]);
  }

  /** One tick: asks for heat if there is a session and a status, be it fresh or not. */
  tick(): void {
    const { status, session, renewing, durationMs } = this.state;
    if (!renewing || status === null || session === 0) return;
    const switches = { regulating: true, guard: true };
    this.#link.write(leaseFrame({ tag: 3, nonce: status.nonce, session, durationMs, switches }));
  }

  /** Ends heat in the normal way. */
  release(): void {
    this.state.renewing = false;
    this.#link.write(releaseFrame(4));
  }

  #hear(byte: number): void {
    const { pending, frames } = takeFrames(this.state.pending, [byte]);
    this.state.pending = pending;
    for (const frame of frames) {
      const message = decodeBoardMessage(frame);
      if (message.kind === 'status') this.state.status = message;
      else if (message.kind === 'limits') this.state.session = message.session;
      else if (message.kind === 'probe' && message.flags & 0x20) this.state.bath = message;
      else if (message.kind === 'answer' && message.code !== 0) this.state.refusals.push(message.code);
    }
  }
}

/**
 * Random and mutated bytes into the firmware, with leases among them, each round from the same connected board; every
 * edge of the switch pins is compared with the independent ledger. Used by the tests and, with more bytes, by the
 * campaign.
 */
import { CYCLES_PER_MS, restoreBoard, snapshotBoard } from '../../hardware/emulator/index.ts';
import { newRandom, type Random } from '../../shared/units/random.ts';
import type { FromBoard, Status } from './firmware-hear.ts';
import { Ledger } from './firmware-ledger.ts';
import { connectedState } from './firmware-model.ts';
import { FirmwareRig } from './firmware-rig.ts';
import { below, FLAVOURS, pick, Talker } from './firmware-talker.ts';
import { CAUSE, make } from './firmware-wire.ts';

/** What a run did. */
export interface FuzzResult {
  bytes: number;
  rounds: number;
  edges: number;
  milliseconds: number;
  doubtful: number;
  heatedMs: number;
  trips: number;
}

/** How much, and from which seed. */
export interface FuzzOptions {
  bytes: number;
  seed: number;
  /** Number of the first round, to repeat one that failed. Default 0. */
  firstRound?: number;
  /** Text of another image than the committed one. */
  hex?: string;
  onRound?: (bytesSoFar: number, round: number) => void;
}

// Rounds differ in how densely the bytes come: sparse ones heat more, dense ones push more through.
const DENSITIES = [1, 1, 2, 4];
const BYTES_OF_SPARSEST = 3000;
const TAIL_MS = 2800;

/** A connected board, and where its tick zero lies, found from the first edge of a lease in the quiet. */
function prepare(hex: string | undefined): { rig: FirmwareRig; zeroCycles: number } {
  const rig = new FirmwareRig(hex === undefined ? {} : { hex });
  rig.connect();
  rig.board.switches.drain();
  rig.lease({ durationMs: 400 });
  rig.advance(1500);
  const first = rig.board.switches.drain().edges[0]!;
  const tick = Math.ceil(first.atCycles / CYCLES_PER_MS - rig.tickZeroMs - 0.02);
  rig.readBack();
  rig.advance(1000);
  return { rig, zeroCycles: first.atCycles - tick * CYCLES_PER_MS };
}

/** Runs the fuzz; throws, naming the seed and round, at the first edge that the ledger does not allow. */
export function fuzz(options: FuzzOptions): FuzzResult {
  const total: FuzzResult = {
    bytes: 0,
    rounds: 0,
    edges: 0,
    milliseconds: 0,
    doubtful: 0,
    heatedMs: 0,
    trips: 0,
  };
  const { rig, zeroCycles } = prepare(options.hex);
  const snapshot = snapshotBoard(rig.board);
  const before = [...rig.statuses];
  while (total.bytes < options.bytes) {
    const number = (options.firstRound ?? 0) + total.rounds;
    const seed = options.seed * 1_000_003 + number;
    restoreBoard(rig.board, snapshot);
    try {
      const round = new Round(rig, zeroCycles, before, newRandom(seed));
      round.run(total);
    } catch (error) {
      throw new Error(`Fuzz seed ${options.seed}, round ${number}: ${(error as Error).message}`);
    }
    total.rounds += 1;
    options.onRound?.(total.bytes, total.rounds);
  }
  return total;
}

class Round {
  readonly #rig: FirmwareRig;
  readonly #ledger: Ledger;
  readonly #random: Random;
  readonly #talker: Talker;

  constructor(rig: FirmwareRig, zeroCycles: number, before: readonly Status[], random: Random) {
    this.#rig = rig;
    this.#random = random;
    rig.statuses = [...before];
    const last = before.at(-1)!;
    const nowMs = Math.floor((rig.board.chip.cycles - zeroCycles) / CYCLES_PER_MS);
    this.#ledger = new Ledger(zeroCycles, connectedState(rig.session, 0), nowMs);
    for (const status of before.slice(-8)) this.#ledger.fromBoard({ kind: 'status', at: 0, status });
    this.#talker = new Talker(random, () => rig.statuses, rig.session);
    rig.restart((message) => this.#onMessage(message));
    rig.onArrival((byte, at) => this.#ledger.toBoard(byte, at));
    if (last.latchedCause !== CAUSE.none) throw new Error('The board to start from is latched.');
  }

  run(total: FuzzResult): void {
    const { board } = this.#rig;
    const flavour = pick(this.#random, FLAVOURS);
    const density = pick(this.#random, DENSITIES);
    let sent = 0;
    let nextLeaseMs = 0;
    const heatedBefore = board.heaterClosedMs;
    while (sent < BYTES_OF_SPARSEST * density) {
      if (below(this.#random, 100 * density) === 0) sent += this.#wait();
      const heat = board.nowMs >= nextLeaseMs;
      if (heat) nextLeaseMs = board.nowMs + 300 + below(this.#random, 900);
      const bytes = heat ? [0xf7, ...this.#talker.sensible()] : flavour(this.#talker, this.#random);
      sent += bytes.length;
      this.#send(bytes, below(this.#random, 5 * density) === 0 ? below(this.#random, 120) : 0);
    }
    this.#tail();
    total.bytes += sent;
    total.edges += this.#ledger.count.edges;
    total.milliseconds += this.#ledger.count.milliseconds;
    total.doubtful += this.#ledger.count.doubtful;
    total.heatedMs += board.heaterClosedMs - heatedBefore;
    total.trips += this.#rig.status.latchedCause === CAUSE.none ? 0 : 1;
  }

  /** A second of silence, so that old nonces are not spent; then a lease on one of them, and silence again. */
  #wait(): number {
    this.#send([0xf7], 700 + below(this.#random, 500));
    const bytes = this.#talker.aged();
    this.#send(bytes, below(this.#random, 2) === 0 ? 2300 : 200);
    return bytes.length + 1;
  }

  /** Lets every lease run out, then asks: the board must still be there, with all its bytes. */
  #tail(): void {
    const rig = this.#rig;
    this.#send([0xf7], TAIL_MS);
    this.#ledger.settle(rig.board.chip.cycles);
    rig.readBacks = [];
    this.#send(make.limitsQuery(1), 150);
    if (rig.readBacks.length === 0) throw new Error('The board no longer answers.');
    if (rig.board.resets.watchdog > 0) throw new Error('The watchdog had to reset the board.');
    if (rig.status.lostBytes > 0) throw new Error(`The board lost ${rig.status.lostBytes} bytes.`);
    if (rig.board.heaterClosed) throw new Error('Heat is on although every lease has run out.');
  }

  #send(bytes: readonly number[], pauseMs: number): void {
    const { board } = this.#rig;
    board.link.write(bytes);
    while (board.link.waiting > 0) this.#advance(2);
    this.#advance(pauseMs);
    this.#ledger.settle(board.chip.cycles);
  }

  #advance(ms: number): void {
    this.#rig.advance(ms);
    for (const edge of this.#rig.board.switches.drain().edges) this.#ledger.edge(edge);
  }

  #onMessage(message: FromBoard): void {
    this.#ledger.fromBoard(message);
    if (message.kind === 'readBack' && message.readBack.session !== 0)
      this.#talker.session = message.readBack.session;
  }
}

/**
 * Random and mutated bytes into the firmware, with leases among them, each round from the same connected board; every
 * edge of the switch pins is compared with the independent ledger. Used by the tests and, with more bytes, by the
 * campaign.
 */
import { CYCLES_PER_MS, restoreBoard, snapshotBoard } from '../../hardware/emulator/index.ts';
import { newRandom, type Random, uniform } from '../../shared/units/random.ts';
import type { FromBoard, Status } from './firmware-hear.ts';
import { Ledger } from './firmware-ledger.ts';
import { connectedState } from './firmware-model.ts';
import { FirmwareRig, rom } from './firmware-rig.ts';
import { BLOCK, CAUSE, make } from './firmware-wire.ts';

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

const below = (random: Random, n: number): number => Math.floor(uniform(random) * n);
const pick = <T>(random: Random, from: readonly T[]): T => from[below(random, from.length)]!;

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

/** One way to spoil a message. */
const SPOIL: readonly ((bytes: number[], random: Random) => number[])[] = [
  (bytes, random) => bytes.map((byte) => (below(random, 6) === 0 ? byte ^ (1 << below(random, 8)) : byte)),
  (bytes, random) => bytes.with(below(random, bytes.length), below(random, 256)),
  (bytes, random) => bytes.toSpliced(below(random, bytes.length), 1),
  (bytes, random) => bytes.toSpliced(below(random, bytes.length), 0, below(random, 256)),
  (bytes, random) => bytes.slice(0, below(random, bytes.length)),
  (bytes, random) => [...bytes.slice(0, below(random, bytes.length)), ...bytes],
  (bytes) => [...bytes, ...bytes],
  // The fill bits at the end, which are no part of any byte.
  (bytes, random) =>
    bytes.map((byte, i) => (i === bytes.length - 2 ? byte ^ (0x20 << below(random, 2)) : byte)),
  (bytes, random) => [
    ...bytes.slice(0, -1),
    ...Array.from({ length: below(random, 120) }, () => below(random, 128)),
    0xf7,
  ],
];

/** A host that knows what a host may know, and says anything. */
class Talker {
  readonly #random: Random;
  readonly #statuses: () => readonly Status[];
  session: number;

  constructor(random: Random, statuses: () => readonly Status[], session: number) {
    this.#random = random;
    this.#statuses = statuses;
    this.session = session;
  }

  /** What a host would say that wants heat: limits, a clear, or a lease. */
  sensible(): number[] {
    const { nonce, latchedCause, blocks } = this.#statuses().at(-1)!;
    if (blocks & BLOCK.noSession) return [...make.limits({ rom: rom(1) }), ...make.limitsQuery()];
    if (latchedCause !== CAUSE.none) return make.clear({ nonce, session: this.session, cause: latchedCause });
    if (below(this.#random, 20) === 0) return make.limits({ rom: rom(1) });
    return below(this.#random, 3) === 0
      ? this.lease(true)
      : make.lease({ nonce, session: this.session, switches: below(this.#random, 8) === 0 ? 2 : 3 });
  }

  lease(fresh: boolean): number[] {
    const random = this.#random;
    const statuses = this.#statuses();
    const back = fresh ? 0 : below(random, Math.min(6, statuses.length));
    return make.lease({
      nonce: statuses[statuses.length - 1 - back]!.nonce,
      session:
        below(random, 10) === 0 ? pick(random, [0, this.session ^ 1, below(random, 65_536)]) : this.session,
      durationMs: pick(random, [1600, 1600, 1600, 2000, 1900, 700, 300, 150, 1, 2001, 0, 65_535]),
      switches: pick(random, [3, 3, 3, 3, 2, 1, 0, 7]),
    });
  }

  /** A good lease but for its age: on one of the last few nonces, none of which has been named. */
  aged(): number[] {
    const random = this.#random;
    const statuses = this.#statuses();
    const { nonce } = statuses[statuses.length - 1 - below(random, Math.min(5, statuses.length))]!;
    return make.lease({ nonce, session: this.session, durationMs: pick(random, [1600, 1900, 1950, 2000]) });
  }

  valid(): number[] {
    const random = this.#random;
    const { nonce, latchedCause } = this.#statuses().at(-1)!;
    const rarely = (n: number, what: () => number[]): number[] => (below(random, n) === 0 ? what() : [0xf9]);
    const kinds: (() => number[])[] = [
      () => this.lease(true),
      () => this.lease(true),
      () => this.lease(false),
      () => rarely(6, () => make.limits({ rom: rom(1), maxRaw: pick(random, [1521, 479, 1520, 1360]) })),
      () => make.limitsQuery(below(random, 256)),
      () => make.limitsQuery(below(random, 256)),
      () =>
        make.clear({
          nonce,
          session: this.session,
          cause: pick(random, [latchedCause, latchedCause, CAUSE.host]),
        }),
      () => make.clear({ nonce, session: this.session, cause: latchedCause }),
      () => make.sounder(below(random, 5), below(random, 700)),
      () => rarely(6, () => make.trip(below(random, 65_536))),
      () => rarely(3, () => make.release()),
      () => [
        pick(random, [0x90, 0xd0, 0xc0, 0xe0, 0xf4, 0xf5]) | below(random, 4),
        below(random, 128),
        below(random, 128),
      ],
      () => rarely(8, () => [0xff]),
      () => [
        0xf0,
        pick(random, [0x69, 0x6b, 0x6d, 0x71, 0x73, 0x79, 0x7a]),
        below(random, 128),
        below(random, 128),
        0xf7,
      ],
    ];
    return pick(random, kinds)();
  }

  spoilt(): number[] {
    return pick(this.#random, SPOIL)(
      below(this.#random, 3) === 0 ? this.lease(true) : this.valid(),
      this.#random,
    );
  }

  noise(top: number): number[] {
    return Array.from({ length: 1 + below(this.#random, 60) }, () => below(this.#random, top));
  }

  framed(): number[] {
    const content = Array.from({ length: below(this.#random, 40) }, () => below(this.#random, 128));
    return [0xf0, 1 + below(this.#random, 15), ...content, 0xf7];
  }
}

type Flavour = (talker: Talker, random: Random) => number[];
const FLAVOURS: readonly Flavour[] = [
  (talker) => talker.noise(256),
  (talker) => talker.noise(255),
  (talker) => talker.noise(128),
  (talker) => talker.framed(),
  (talker) => talker.valid(),
  (talker) => talker.spoilt(),
  (talker, random) => (below(random, 5) === 0 ? talker.spoilt() : talker.valid()),
  (talker, random) => pick(random, FLAVOURS.slice(0, 6))(talker, random),
];

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

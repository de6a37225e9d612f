/**
 * An independent ledger of valid leases. It hears what the board hears and what the board says, works out with the
 * rules of `firmware-model.ts` what the switch pins may do in each millisecond, and compares that with every edge.
 */
import { CYCLES_PER_MS, type SwitchEdge } from '../../hardware/emulator/index.ts';
import type { FromBoard } from './firmware-hear.ts';
import {
  ACT_MS,
  act,
  type Facts,
  GUARD,
  isQuiet,
  millisecond,
  REGULATING,
  type State,
} from './firmware-model.ts';
import { type Heard, HostReader } from './firmware-reader.ts';

/** The pins follow the tick within so many cycles of when they did in the quiet: 25 us, PROTOCOL.md section 8. */
const EARLY_CYCLES = 60;
const LATE_CYCLES = 400;
/** The ledger runs behind the board, so that what the board says about a moment has been heard. */
const LAG_MS = 600;
/** Two switches that open at once do so within so many cycles. */
const AT_ONCE_CYCLES = 100;

const BIT = { regulating: REGULATING, guard: GUARD } as const;

export class Ledger {
  /** Milliseconds and edges compared so far, and in how many milliseconds the pins might have done otherwise. */
  readonly count = { milliseconds: 0, edges: 0, doubtful: 0 };
  readonly #zeroCycles: number;
  readonly #heard: Heard[] = [];
  readonly #edges: SwitchEdge[] = [];
  readonly #nonces = new Map<number, { order: number; issuedMs: number }>();
  readonly #bathReadsMs: number[] = [];
  readonly #replies: { at: number; tag: number; session: number }[] = [];
  readonly #replyTo = new Map<Heard, number>();
  readonly #reader = new HostReader((heard) => this.#heard.push(heard));
  #states: State[];
  #atMs: number;
  #pins = 0;
  #must = 0;
  #may = 0;

  /**
   * @param zeroCycles when tick 0 moved the pins, or would have
   * @param start the state at `startMs` of the board's clock
   */
  constructor(zeroCycles: number, start: State, startMs: number) {
    this.#zeroCycles = zeroCycles;
    this.#states = [start];
    this.#atMs = startMs;
    this.#pins = start.closed;
  }

  /** A nonce the board issued; `order` counts up. */
  issued(nonce: number, order: number, issuedMs: number): void {
    this.#nonces.set(nonce, { order, issuedMs });
  }

  /** A byte has arrived at the board's receiver. */
  toBoard(byte: number, atCycles: number): void {
    this.#reader.byte(byte, atCycles);
  }

  /** The board has said something. */
  fromBoard(message: FromBoard): void {
    if (message.kind === 'status') {
      const { nonce, uptimeMs, bathAgeMs } = message.status;
      this.issued(nonce, this.#nonces.size + 1, uptimeMs);
      if (bathAgeMs !== 65_535) this.#bathReadsMs.push(uptimeMs - bathAgeMs);
    } else if (message.kind === 'readBack') {
      const { tag, session } = message.readBack;
      this.#replies.push({ at: message.at, tag, session });
    } else if (message.kind === 'probe' && (message.probe.flags & 33) === 33) {
      this.#bathReadsMs.push(message.probe.uptimeMs);
    }
  }

  /** A switch pin has moved. */
  edge(edge: SwitchEdge): void {
    this.#edges.push(edge);
  }

  /** Compares all there is up to a moment, less the lag. Throws at the first edge that should not be, or is missing. */
  settle(untilCycles: number, lagMs = LAG_MS): void {
    const untilMs = Math.floor((untilCycles - this.#zeroCycles) / CYCLES_PER_MS) - lagMs;
    while (this.#atMs < untilMs) {
      this.#atMs += 1;
      if (!this.#nothingHappens()) this.#compare();
      this.count.milliseconds += 1;
    }
  }

  readonly #facts: Facts = {
    nonce: (value) => this.#nonces.get(value),
    arrivedMs: (heard) => Math.floor((heard.at - this.#zeroCycles) / CYCLES_PER_MS),
    bathReadBetween: (fromMs, toMs) => {
      let near = false;
      for (const at of this.#bathReadsMs) {
        if (at > fromMs + ACT_MS + 1 && at < toMs - 1) return true;
        near ||= at >= fromMs - 1 && at <= toMs + 1;
      }
      return near ? null : false;
    },
    sessionFor: (query) => {
      this.#matchReplies();
      return this.#replies[this.#replyTo.get(query) ?? -1]?.session ?? 0;
    },
  };

  /** One state, at rest, with no message and no edge before this millisecond ends. */
  #nothingHappens(): boolean {
    const [state, other] = this.#states;
    const ends = this.#endOf(this.#atMs);
    const edge = this.#edges[0];
    const heard = this.#heard[state!.done];
    if (other !== undefined || (edge !== undefined && edge.atCycles < ends)) return false;
    return (heard === undefined || heard.at >= ends) && isQuiet(state!, this.#atMs);
  }

  #endOf(ms: number): number {
    return this.#zeroCycles + (ms + 1) * CYCLES_PER_MS - EARLY_CYCLES;
  }

  #compare(): void {
    const nowMs = this.#atMs;
    const begins = this.#zeroCycles + nowMs * CYCLES_PER_MS;
    const ends = this.#endOf(nowMs);
    const edges = this.#takeEdges(ends);
    const after = edges.reduce(
      (pins, edge) => (edge.high ? pins | BIT[edge.switch] : pins & ~BIT[edge.switch]),
      this.#pins,
    );
    const possible = this.#actOn(
      this.#states.flatMap((state) => millisecond(state, nowMs, this.#facts)),
      ends,
      nowMs,
    );
    const agreeing = possible.filter((state) => state.closed === after);
    if (agreeing.length === 0) this.#disagree(after, possible, edges);
    this.#states = agreeing;
    this.#pins = after;
    this.#checkMoments(edges, begins);
    this.count.edges += edges.length;
    if (possible.some((state) => state.closed !== after)) this.count.doubtful += 1;
  }

  /** Replies come in the order of the queries; one may be missing, when the board's send buffer was full. */
  #matchReplies(): void {
    let next = 0;
    for (const query of this.#heard) {
      if (query.kind !== 'query') continue;
      const at = this.#replies.findIndex(
        (reply, i) => i >= next && reply.tag === query.tag && reply.at >= query.at,
      );
      if (at === -1 || this.#replies[at]!.at > query.at + LAG_MS * CYCLES_PER_MS) continue;
      this.#replyTo.set(query, at);
      next = at + 1;
    }
  }

  #takeEdges(before: number): SwitchEdge[] {
    const at = this.#edges.findIndex((edge) => edge.atCycles >= before);
    return this.#edges.splice(0, at === -1 ? this.#edges.length : at);
  }

  /** Each state with each number of messages acted on that is possible by the end of this millisecond. */
  #actOn(states: State[], ends: number, nowMs: number): State[] {
    const may = this.#countBefore(ends, this.#may);
    const must = this.#countBefore(ends - ACT_MS * CYCLES_PER_MS, this.#must);
    this.#may = may;
    this.#must = must;
    if (states.length === 1 && states[0]!.done === may) return states;
    const all = new Map<string, State>();
    let front = states;
    while (front.length > 0) {
      for (const state of front) if (state.done >= must) all.set(JSON.stringify(state), state);
      front = unique(
        front.flatMap((state) =>
          state.done < may ? act(state, this.#heard[state.done]!, nowMs, this.#facts) : [],
        ),
      );
    }
    return [...all.values()];
  }

  #countBefore(cycles: number, from: number): number {
    let count = from;
    while (count < this.#heard.length && this.#heard[count]!.at < cycles) count += 1;
    return count;
  }

  /** Edges belong to a tick; only an opening of all that is closed, at once, may come between: a trip. */
  #checkMoments(edges: readonly SwitchEdge[], begins: number): void {
    const stray = edges.filter(
      ({ atCycles }) => atCycles < begins - EARLY_CYCLES || atCycles > begins + LATE_CYCLES,
    );
    const [first] = stray;
    if (first === undefined) return;
    const isTrip = stray.every((edge) => !edge.high && edge.atCycles - first.atCycles <= AT_ONCE_CYCLES);
    if (isTrip && this.#states.every((state) => state.closed === 0)) return;
    throw new Error(
      `${first.switch} moved ${first.atCycles - begins} cycles after tick ${this.#atMs}, neither with it nor in a trip.`,
    );
  }

  #disagree(after: number, possible: State[], edges: SwitchEdge[]): never {
    const recent = this.#heard.slice(-6);
    throw new Error(
      `At ${this.#atMs} ms the pins are ${after} (edges ${JSON.stringify(edges)}), but the ledger allows only ` +
        `${JSON.stringify(possible.slice(0, 4))}. Last heard: ${JSON.stringify(recent)}`,
    );
  }
}

function unique(states: State[]): State[] {
  if (states.length < 2) return states;
  return [...new Map(states.map((state) => [JSON.stringify(state), state])).values()];
}

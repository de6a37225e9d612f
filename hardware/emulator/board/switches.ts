/** The two switches in series that feed the heater. */
export type SwitchName = 'regulating' | 'guard';

/** An edge of a switch pin, as driven by the chip (or forced by a fault). */
export interface SwitchEdge {
  atCycles: number;
  switch: SwitchName;
  high: boolean;
}

/** An edge of the heater circuit. */
export interface CircuitEdge {
  atCycles: number;
  closed: boolean;
}

/** State of the switches in a snapshot. */
export interface SwitchesState {
  driven: Record<SwitchName, boolean>;
  welded: Record<SwitchName, boolean>;
  tied: Record<SwitchName, boolean>;
  closedSinceCycles: number | null;
  closedCycles: number;
  /** Every edge of the switch pins since the beginning or the last `drain`. */
  edges: SwitchEdge[];
  /** Every edge of the circuit since the beginning or the last `drain`. */
  circuit: CircuitEdge[];
}

// A day of two edges a second is 172,800; past this the ledger is a leak, not a record.
const MOST_EDGES = 1_000_000;

/** Regulating and guard switch in series, and the ledger of what they did. */
export class Switches {
  state: SwitchesState = {
    driven: { regulating: false, guard: false },
    welded: { regulating: false, guard: false },
    tied: { regulating: false, guard: false },
    closedSinceCycles: null,
    closedCycles: 0,
    edges: [],
    circuit: [],
  };
  readonly #guardFitted: boolean;

  /** @param guardFitted false for the one-switch variant: the circuit has the regulating switch only. */
  constructor(guardFitted: boolean) {
    this.#guardFitted = guardFitted;
  }

  /** Whether a switch conducts: its pin is high, or it is welded. */
  closed(name: SwitchName): boolean {
    const { driven, welded, tied } = this.state;
    return driven[name] || tied[name] || welded[name];
  }

  /** Whether the heater is fed. */
  get heaterClosed(): boolean {
    return this.closed('regulating') && (!this.#guardFitted || this.closed('guard'));
  }

  /** How long the heater was fed in all up to now, cycles. */
  closedCycles(nowCycles: number): number {
    const { closedSinceCycles, closedCycles } = this.state;
    return closedCycles + (closedSinceCycles === null ? 0 : nowCycles - closedSinceCycles);
  }

  /** A pin's level, as the chip drives it. */
  drive(name: SwitchName, high: boolean, atCycles: number): void {
    const before = this.#pin(name);
    this.state.driven[name] = high;
    this.#note(name, before, atCycles);
  }

  /** Ties a switch pin to the supply, or unties it: a short on the board, which the chip can see on its pin. */
  tie(name: SwitchName, tied: boolean, atCycles: number): void {
    const before = this.#pin(name);
    this.state.tied[name] = tied;
    this.#note(name, before, atCycles);
  }

  /** Welds a switch's contacts, or frees them; the chip cannot see that. */
  weld(name: SwitchName, welded: boolean, atCycles: number): void {
    this.state.welded[name] = welded;
    this.#noteCircuit(atCycles);
  }

  /** Takes the ledger out: the edges so far, leaving it empty. */
  drain(): { edges: SwitchEdge[]; circuit: CircuitEdge[] } {
    const { edges, circuit } = this.state;
    this.state.edges = [];
    this.state.circuit = [];
    return { edges, circuit };
  }

  #pin(name: SwitchName): boolean {
    return this.state.driven[name] || this.state.tied[name];
  }

  #note(name: SwitchName, before: boolean, atCycles: number): void {
    const high = this.#pin(name);
    if (high === before) return;
    if (this.state.edges.length >= MOST_EDGES) {
      throw new Error(`The switch ledger is full at ${MOST_EDGES} edges; call drain() now and then.`);
    }
    this.state.edges.push({ atCycles, switch: name, high });
    this.#noteCircuit(atCycles);
  }

  #noteCircuit(atCycles: number): void {
    const closed = this.heaterClosed;
    const { closedSinceCycles } = this.state;
    if (closed === (closedSinceCycles !== null)) return;
    if (closedSinceCycles !== null) this.state.closedCycles += atCycles - closedSinceCycles;
    this.state.closedSinceCycles = closed ? atCycles : null;
    this.state.circuit.push({ atCycles, closed });
  }
}

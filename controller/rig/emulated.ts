import type { Duplex } from 'node:stream';
import type { PlantSpec, PlantState } from '../../shared/bath/plant.ts';
import type { AnalogueProbe } from '../../shared/wire/analogue.ts';
import type { RigConfig } from '../../shared/wire/config.ts';
import { plantPort } from './plant-port.ts';
import { BoardRig } from './usb/board-rig.ts';
import { BoardLink } from './usb/link.ts';
import type { BoardPort, BoardView, Order, Wanted } from './usb/view.ts';

/** An emulated board in its bath, as the loader of `hardware/emulator` hands it over. */
export interface EmulatedBench {
  readonly nowMs: number;
  advanceTo(ms: number): void;
  /** A new connection to the board; opens by itself. */
  connect(): Duplex;
}

export interface EmulatedOptions {
  readonly bench: EmulatedBench;
  readonly wanted: Wanted;
  readonly config: Pick<RigConfig, 'probes' | 'calibrations'>;
  readonly spec: PlantSpec;
  /** The bath's state, the same that the bench changes. */
  readonly plant: PlantState;
  /** Monotonic clock at the start. */
  readonly nowMs: number;
  readonly text: string;
}

/** Time of the board is let pass in pieces of this, with a look at the link's deadlines between. */
const STEP_MS = 250;
/** A host that slept does not make the board race: what it is behind by more than this is left out. */
const MOST_BEHIND_MS = 10_000;
const PIECE_MS = 5;
const MOST_START_MS = 10_000;

/**
 * A rig on the emulated board: johnny-five, Firmata, the flashed program and 1-Wire bits, in this process, in lockstep
 * with the caller's clock. Board and bath move only through `read` and `heat`.
 * @throws Error where the board does not come up
 */
export async function openEmulated(options: EmulatedOptions): Promise<BoardRig> {
  const { bench, wanted, config, spec, plant, text } = options;
  const port = await openEmulatedPort(bench, wanted, options.nowMs);
  return new BoardRig({
    kind: 'emulated',
    text,
    port,
    config,
    hands: plantPort(spec, plant),
    coreBag: () => plant.corePlace?.bagId ?? null,
  });
}

/**
 * A connection to the emulated board, once the handshake is done.
 * @param wanted null: probes are read, heat is never asked for
 * @param analogue probes on analogue pins; the emulated board runs our firmware, so they stand there unread
 * @throws Error where the board does not come up
 */
export async function openEmulatedPort(
  bench: EmulatedBench,
  wanted: Wanted | null,
  nowMs: number,
  analogue: readonly AnalogueProbe[] = [],
): Promise<BoardPort> {
  const transport = bench.connect();
  await new Promise((resolve, reject) => {
    transport.once('open', resolve);
    transport.once('error', reject);
  });
  const link = new BoardLink({ transport, nowMs: () => bench.nowMs, wanted, analogue });
  link.start();
  const untilMs = bench.nowMs + MOST_START_MS;
  const up = wanted === null ? 'reading' : 'ready';
  while (link.view().phase !== up && bench.nowMs < untilMs) {
    bench.advanceTo(Math.floor(bench.nowMs) + PIECE_MS);
    link.poll();
    await new Promise((resolve) => setImmediate(resolve));
  }
  const { phase, fault } = link.view();
  if (phase !== up) throw new Error(`The emulated board did not come up: ${fault?.detail ?? phase}`);
  return new LockstepPort(bench, link, nowMs);
}

/** Lets the board's time pass up to the caller's whenever the caller looks or speaks. */
class LockstepPort implements BoardPort {
  private readonly bench: EmulatedBench;
  private readonly link: BoardLink;
  /** Board's time minus caller's. */
  private aheadMs: number;

  constructor(bench: EmulatedBench, link: BoardLink, nowMs: number) {
    this.bench = bench;
    this.link = link;
    this.aheadMs = bench.nowMs - nowMs;
  }

  view(nowMs: number): BoardView {
    const { bench, link } = this;
    this.aheadMs = Math.min(this.aheadMs, bench.nowMs - nowMs + MOST_BEHIND_MS);
    // Whole milliseconds lie on the board's clock cycles; between two cycles there is no moment to reach.
    const untilMs = Math.floor(nowMs + this.aheadMs);
    while (bench.nowMs < untilMs) {
      bench.advanceTo(Math.min(untilMs, Math.floor(bench.nowMs) + STEP_MS));
      link.poll();
    }
    return this.inCallersTime(link.view());
  }

  send(order: Order): void {
    this.link.order(order);
  }

  async close(): Promise<void> {
    this.link.close();
    // The release travels, and the guard opens 100 ms after the regulating switch.
    this.bench.advanceTo(Math.floor(this.bench.nowMs) + STEP_MS);
  }

  private inCallersTime(view: BoardView): BoardView {
    const shifted = <T extends { arrivedMs: number }>(one: T): T => ({
      ...one,
      arrivedMs: one.arrivedMs - this.aheadMs,
    });
    return {
      ...view,
      status: view.status === null ? null : shifted(view.status),
      answer: view.answer === null ? null : shifted(view.answer),
      probes: view.probes.map(shifted),
    };
  }
}

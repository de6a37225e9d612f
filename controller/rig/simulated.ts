import {
  newPlant,
  type PlantSpec,
  type PlantState,
  type ProbeId,
  readLevelSwitch,
  readProbe,
  type SwitchFault,
  stepPlant,
} from '../../shared/bath/plant.ts';
import type { Command } from '../../shared/wire/command.ts';
import type { Board, Reading } from '../../shared/wire/reading.ts';
import type { HeatLease } from '../../shared/wire/tick.ts';
import { type CookPort, plantPort } from './plant-port.ts';
import type { Rig, RigSnapshot } from './rig.ts';

export interface SimulatedOptions {
  readonly spec: PlantSpec;
  /** The world as it was left, or null for a bath just filled. */
  readonly plant: PlantState | null;
  readonly seed: number;
  /** Of the water just poured in; default the room, but liquid. */
  readonly startC?: number;
  /** Monotonic clock at the start. */
  readonly nowMs: number;
  readonly text: string;
  /** What the rig has; default a second probe and two switches whose board reports its pins, not its contacts. */
  readonly fitted?: Partial<Fitted>;
}

/** What differs from rig to rig at the edge. */
export interface Fitted {
  readonly secondProbe: boolean;
  readonly switches: 1 | 2;
  /** The board feels whether its contacts really opened; most see only what their pins say. */
  readonly contacts: boolean;
}

const USUAL: Fitted = { secondProbe: true, switches: 2, contacts: false };

/** The world is stepped in pieces of at most this; shorter where a lease ends inside. */
const STEP_MS = 1000;
const COLDEST_FILL_C = 4;
/** The guard stays closed between pulses for as long as a usual lease. */
const STAND_BY_MS = 1600;

/**
 * The simulated bath behind the rig's interface. Time moves only through `read` and `heat`, by the caller's clock,
 * and a lease that is not renewed runs out in the middle of a step, as on the board.
 */
export class SimulatedRig implements Rig {
  readonly kind = 'simulated';
  readonly text: string;
  readonly plant: CookPort;
  private readonly spec: PlantSpec;
  private readonly world: PlantState;
  private atMs: number;
  private readonly fitted: Fitted;
  private leaseEndMs = Number.NEGATIVE_INFINITY;
  private guardEndMs = Number.NEGATIVE_INFINITY;
  private sequence = 0;

  constructor(options: SimulatedOptions) {
    this.spec = options.spec;
    this.text = options.text;
    this.fitted = { ...USUAL, ...options.fitted };
    const startC = options.startC ?? Math.max(COLDEST_FILL_C, options.spec.ambientC);
    this.world = options.plant ?? newPlant(options.spec, options.seed, startC);
    this.atMs = options.nowMs;
    this.plant = plantPort(this.spec, this.world);
  }

  /** The world's whole state, for keeping it across restarts. */
  plantState(): PlantState {
    return this.world;
  }

  read(nowMs: number): RigSnapshot {
    this.advance(nowMs);
    this.sequence++;
    const core = this.world.corePlace;
    return {
      readings: {
        bath: this.reading('bath', nowMs),
        second: this.fitted.secondProbe ? this.reading('second', nowMs) : null,
        ambient: this.reading('ambient', nowMs),
        cores: core ? [{ bagId: core.bagId, reading: this.reading('core', nowMs) }] : [],
      },
      board: this.board(nowMs),
    };
  }

  heat(lease: HeatLease | null, nowMs: number, standBy = false): void {
    this.advance(nowMs);
    this.leaseEndMs = lease === null ? Number.NEGATIVE_INFINITY : nowMs + lease.ms;
    this.guardEndMs = standBy ? nowMs + STAND_BY_MS : this.leaseEndMs;
  }

  follow(command: Command): void {
    if (command.kind === 'bag-in') this.plant.putIn(command.bag);
    if (command.kind === 'bag-out') this.plant.takeOut(command.bagId);
  }

  async close(): Promise<void> {
    this.leaseEndMs = Number.NEGATIVE_INFINITY;
    this.guardEndMs = Number.NEGATIVE_INFINITY;
  }

  private advance(nowMs: number): void {
    while (this.atMs < nowMs) {
      const heat = this.atMs < this.leaseEndMs;
      const leased = this.atMs < this.guardEndMs;
      const untilMs = Math.min(
        nowMs,
        this.atMs + STEP_MS,
        heat ? this.leaseEndMs : Number.POSITIVE_INFINITY,
        leased ? this.guardEndMs : Number.POSITIVE_INFINITY,
      );
      const guard = leased || this.fitted.switches === 1;
      stepPlant(this.spec, this.world, { heat, guard, dtS: (untilMs - this.atMs) / 1000 });
      this.atMs = untilMs;
    }
  }

  private reading(probe: ProbeId, nowMs: number): Reading {
    const seen = readProbe(this.spec, this.world, probe);
    const common = { sequence: this.sequence, monotonicMs: nowMs };
    if (seen.celsius !== null) return { celsius: seen.celsius, quality: 'good', ...common };
    return { celsius: null, quality: seen.fault === 'short' ? 'crc' : 'absent', ...common };
  }

  private board(nowMs: number): Board {
    const { contacts, switches } = this.fitted;
    const { regulating, guard } = this.world;
    const regulatingTold = nowMs < this.leaseEndMs;
    const guardTold = nowMs < this.guardEndMs;
    return {
      link: 'up',
      regulatingClosed: contacts ? closedIn(regulatingTold, regulating) : regulatingTold,
      guardClosed: switches === 1 ? null : contacts ? closedIn(guardTold, guard) : guardTold,
      levelOk: readLevelSwitch(this.spec, this.world),
      leaseRefused: null,
      latched: null,
    };
  }
}

/** What a contact does: as it is told, unless it is stuck. */
function closedIn(told: boolean, fault: SwitchFault): boolean {
  return fault === 'welded' || (told && fault !== 'open');
}

import {
  newPlant,
  type PlantSpec,
  type PlantState,
  type ProbeId,
  readLevelSwitch,
  readProbe,
  stepPlant,
} from '../../shared/bath/plant.ts';
import type { Reading } from '../../shared/wire/reading.ts';
import type { HeatLease } from '../../shared/wire/tick.ts';
import { plantPort } from './plant-port.ts';
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
}

/** A simulated rig, and the state of its world for keeping across restarts. */
export interface SimulatedRig extends Rig {
  plantState(): PlantState;
}

/** The world is stepped in pieces of at most this; shorter where a lease ends inside. */
const STEP_S = 1;

/**
 * The simulated bath behind the rig's interface. Time moves only through `read` and `heat`, by the caller's clock,
 * and a lease that is not renewed runs out in the middle of a step, as on the board.
 */
export function simulatedRig(options: SimulatedOptions): SimulatedRig {
  const { spec } = options;
  const plant = options.plant ?? newPlant(spec, options.seed, options.startC ?? Math.max(4, spec.ambientC));
  let atMs = options.nowMs;
  let leaseEndMs = Number.NEGATIVE_INFINITY;
  let sequence = 0;
  const port = plantPort(spec, plant);

  const advance = (nowMs: number): void => {
    while (atMs < nowMs) {
      const heat = atMs < leaseEndMs;
      const untilMs = Math.min(nowMs, atMs + STEP_S * 1000, heat ? leaseEndMs : Number.POSITIVE_INFINITY);
      stepPlant(spec, plant, { heat, dtS: (untilMs - atMs) / 1000 });
      atMs = untilMs;
    }
  };

  const reading = (probe: ProbeId, nowMs: number): Reading => {
    const seen = readProbe(spec, plant, probe);
    const common = { sequence, monotonicMs: nowMs };
    if (seen.celsius !== null) return { celsius: seen.celsius, quality: 'good', ...common };
    return { celsius: null, quality: seen.fault === 'short' ? 'crc' : 'absent', ...common };
  };

  return {
    kind: 'simulated',
    text: options.text,
    read(nowMs: number): RigSnapshot {
      advance(nowMs);
      sequence++;
      const core = plant.corePlace;
      const closed = nowMs < leaseEndMs;
      return {
        readings: {
          bath: reading('bath', nowMs),
          second: reading('second', nowMs),
          ambient: reading('ambient', nowMs),
          cores: core ? [{ bagId: core.bagId, reading: reading('core', nowMs) }] : [],
        },
        board: {
          link: 'up',
          regulatingClosed: closed || plant.regulating === 'welded',
          guardClosed: closed || plant.guard === 'welded',
          levelOk: readLevelSwitch(spec, plant),
          leaseRefused: null,
          latched: null,
        },
      };
    },
    heat(lease: HeatLease | null, nowMs: number): void {
      advance(nowMs);
      leaseEndMs = lease === null ? Number.NEGATIVE_INFINITY : nowMs + lease.ms;
    },
    follow(command) {
      if (command.kind === 'bag-in') port.apply({ kind: 'bag-in', bag: command.bag, airMl: 0 });
      if (command.kind === 'bag-out') port.takeOut(command.bagId);
    },
    plant: port,
    plantState: () => plant,
    async close() {
      leaseEndMs = Number.NEGATIVE_INFINITY;
    },
  };
}

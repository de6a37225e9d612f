import {
  type PlantSpec,
  type PlantState,
  type ProbeId,
  readLevelSwitch,
  readProbe,
  stepPlant,
} from '../../shared/bath/plant.ts';
import { Board, type BoardOptions, type ProbeOptions } from './board/board.ts';
import { romBytes, romHex } from './onewire/scratchpad.ts';

/** ROM codes of the emulated probes by their place: serial numbers of our own. */
export const BATH_PROBE_ROMS: Readonly<Record<ProbeId, readonly number[]>> = {
  bath: romBytes(0x0000_b000_0001),
  second: romBytes(0x0000_b000_0002),
  core: romBytes(0x0000_b000_0003),
  ambient: romBytes(0x0000_b000_0004),
};

/** How a board is put into a simulated bath. */
export interface BoardInBathOptions extends Omit<BoardOptions, 'probes'> {
  spec: PlantSpec;
  /** State of the bath; changed in place as time passes. */
  plant: PlantState;
  /** Which probes are wired. Default all four. */
  wired?: readonly ProbeId[];
  /** Further devices on the same wires, for example a spare probe. */
  others?: readonly ProbeOptions[];
}

// Short against a conversion (750 ms), long enough that the bath costs little beside the board.
const STEP_MS = 250;

/**
 * The board wired to the simulated bath: its probes feel the water, its circuit heats it, and faults of the bath's
 * probes, level switch and switches happen on the board's own wires. Time moves only by `advanceTo`.
 */
export class BoardInBath {
  readonly board: Board;
  readonly #spec: PlantSpec;
  readonly #plant: PlantState;
  readonly #wired: readonly ProbeId[];
  #seen = '';

  /** Throws when the .hex text is not sound. */
  constructor(options: BoardInBathOptions) {
    const { spec, plant, wired, others, ...boardOptions } = options;
    this.#spec = spec;
    this.#plant = plant;
    this.#wired = wired ?? (['bath', 'second', 'core', 'ambient'] as const);
    const probes = this.#wired.map((id) => ({ rom: BATH_PROBE_ROMS[id], celsius: () => this.#celsius(id) }));
    this.board = new Board({ ...boardOptions, probes: [...probes, ...(others ?? [])] });
  }

  /** Time since the board was made, ms. */
  get nowMs(): number {
    return this.board.nowMs;
  }

  /** Lets time pass for board and bath together until a moment of the board's clock. */
  advanceTo(ms: number): void {
    while (!this.board.reached(ms)) {
      this.#carryFaults();
      const fromMs = this.board.nowMs;
      const closedBeforeMs = this.board.heaterClosedMs;
      this.board.advanceTo(Math.min(ms, fromMs + STEP_MS));
      const closedMs = this.board.heaterClosedMs - closedBeforeMs;
      this.#stepBath(true, closedMs);
      this.#stepBath(false, this.board.nowMs - fromMs - closedMs);
    }
  }

  #stepBath(heat: boolean, ms: number): void {
    if (ms > 0) stepPlant(this.#spec, this.#plant, { heat, dtS: ms / 1000 });
  }

  #celsius(id: ProbeId): number {
    // A core probe that is in no bag lies in the room.
    const place = id === 'core' && this.#plant.corePlace === null ? 'ambient' : id;
    return readProbe(this.#spec, this.#plant, place).celsius ?? this.#plant.ambientC;
  }

  /** What is wrong in the bath becomes wrong on the board, when it changes. */
  #carryFaults(): void {
    const readings = this.#wired.map((id) => ({ id, fault: readProbe(this.#spec, this.#plant, id).fault }));
    // A rig without level switch has a bridge on its terminals, else the board would never heat.
    const fitted = this.#spec.levelSwitchMm !== null;
    const water = fitted ? (readLevelSwitch(this.#spec, this.#plant) ?? false) : true;
    const { regulating, guard } = this.#plant;
    const seen = JSON.stringify([readings, water, regulating, guard]);
    if (seen === this.#seen) return;
    this.#seen = seen;
    const { faults } = this.board;
    this.board.waterPresent = water;
    for (const { id, fault } of readings) {
      const rom = romHex(BATH_PROBE_ROMS[id]);
      const plugged = this.board.bus.probes.has(rom);
      const absent = fault === 'absent' && !(id === 'core' && this.#plant.corePlace === null);
      if (absent && plugged) faults.unplugProbe(rom);
      else if (!absent && !plugged) faults.plugProbe(rom);
    }
    if (readings.some(({ fault }) => fault === 'short')) faults.shortProbe();
    else faults.mendProbe();
    for (const [name, fault] of [['regulating', regulating] as const, ['guard', guard] as const]) {
      if (fault === 'welded') faults.weldSwitch(name);
      else faults.freeSwitch(name);
    }
  }
}

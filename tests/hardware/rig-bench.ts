import { openEmulated, openEmulatedPort } from '../../controller/rig/emulated.ts';
import { BoardRig } from '../../controller/rig/usb/board-rig.ts';
import type { Wanted } from '../../controller/rig/usb/view.ts';
import { soundFor } from '../../controller/sound.ts';
import { settingsFrom } from '../../controller/tick/settings.ts';
import { startState, type TickState } from '../../controller/tick/state.ts';
import { type TickOutput, tick } from '../../controller/tick/tick.ts';
import {
  BATH_PROBE_ROMS,
  BoardInBath,
  type BoardInBathOptions,
  BoardStream,
} from '../../hardware/emulator/index.ts';
import { hutSpec, newPlant, type PlantState, truth } from '../../shared/bath/plant.ts';
import type { Command } from '../../shared/wire/command.ts';
import { checkConfig, type RigConfig } from '../../shared/wire/config.ts';
import { romText } from '../../shared/wire/rom.ts';
import type { TickInput } from '../../shared/wire/tick.ts';
import { image } from './firmware-rig.ts';

/** The image that is flashed. */
export const FIRMWARE_HEX = image();

export const ROM = {
  bath: romText(BATH_PROBE_ROMS.bath),
  second: romText(BATH_PROBE_ROMS.second),
  core: romText(BATH_PROBE_ROMS.core),
  ambient: romText(BATH_PROBE_ROMS.ambient),
};
export const ROLES = (['bath', 'second', 'core', 'ambient'] as const).map((role) => ({
  rom: ROM[role],
  role,
}));
export const WANTED: Wanted = {
  bathRom: ROM.bath,
  maxCode: 90 * 16,
  maxHeatS: 14_400,
  silenceMs: 3500,
  attended: false,
};

/** A cook on the emulated board, in lockstep with a virtual clock. */
export interface BoardCook {
  readonly rig: BoardRig;
  readonly board: BoardInBath['board'];
  readonly plant: PlantState;
  state(): TickState;
  waterC(): number;
  run(seconds: number, each?: (output: TickOutput) => void): TickOutput;
  say(...commands: Command[]): TickOutput;
  readonly inputs: TickInput[];
}

/** What differs from the usual bench: four probes, each with its role, and the flashed program. */
export interface BenchParts extends Pick<BoardInBathOptions, 'others'> {
  readonly wanted?: Wanted;
  readonly roles?: RigConfig['probes'];
  readonly calibrations?: RigConfig['calibrations'];
  readonly hex?: string;
  /** The cook says which bag the core probe is in, as on a real rig. */
  readonly coreByHand?: boolean;
}

/** A rig on the emulated board in a bath of its own, its clock at 0. @throws Error where the handshake fails */
export async function boardRig(startC: number, parts: BenchParts = {}) {
  const spec = hutSpec();
  const plant = newPlant(spec, 5, startC);
  const { hex = FIRMWARE_HEX, others = [], wanted = WANTED, roles = ROLES, calibrations = [] } = parts;
  const bath = new BoardInBath({ hex, spec, plant, others });
  const bench = {
    get nowMs() {
      return bath.nowMs;
    },
    advanceTo: (ms: number) => bath.advanceTo(ms),
    connect: () => new BoardStream(bath.board, { resetOnOpen: true }),
  };
  const config = { probes: [...roles], calibrations };
  if (parts.coreByHand) {
    const port = await openEmulatedPort(bench, wanted, 0);
    return {
      spec,
      plant,
      bath,
      rig: new BoardRig({ kind: 'usb', text: 'bench', port, config, hands: null }),
    };
  }
  const rig = await openEmulated({
    bench,
    wanted,
    config,
    spec,
    plant,
    nowMs: 0,
    text: 'the emulated board',
  });
  return { spec, plant, bath, rig };
}

/** The real tick against the emulated board in the simulated bath. */
export async function boardCook(startC: number, parts: BenchParts = {}): Promise<BoardCook> {
  const { spec, plant, bath, rig } = await boardRig(startC, parts);
  const checked = checkConfig({});
  if (!checked.ok) throw new Error(checked.faults.join('\n'));
  let state: TickState = startState(settingsFrom(checked.config, 'bench'));
  let nowMs = 0;
  const inputs: TickInput[] = [];
  const step = (commands: Command[]): TickOutput => {
    nowMs += 1000;
    const input: TickInput = {
      sequence: inputs.length + 1,
      monotonicMs: nowMs,
      wallMs: Date.UTC(2026, 10, 20, 19) + nowMs,
      wallTrusted: true,
      ...rig.read(nowMs),
      journalLagMs: 0,
      commands,
      restart: null,
    };
    inputs.push(input);
    const { state: after, output } = tick(state, input);
    state = after;
    rig.heat(output.lease, nowMs, output.standBy);
    rig.sound(soundFor(state.alarms), nowMs);
    commands.forEach((command, i) => {
      if (output.results[i]?.accepted) rig.follow(command);
    });
    return output;
  };
  return {
    rig,
    board: bath.board,
    plant,
    inputs,
    state: () => state,
    waterC: () => truth(spec, plant).waterC,
    say: (...commands) => step(commands),
    run(seconds, each) {
      let output = step([]);
      each?.(output);
      for (let i = 1; i < seconds; i++) {
        output = step([]);
        each?.(output);
      }
      return output;
    },
  };
}

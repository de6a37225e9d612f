import { readFileSync, renameSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import type { Duplex } from 'node:stream';
import { hutSpec, newPlant, type PlantState } from '../shared/bath/plant.ts';
import type { Config } from '../shared/wire/config.ts';
import { BathkeeperError } from '../shared/wire/errors.ts';
import { PROBE_ROLES } from '../shared/wire/probe-roles.ts';
import { romText } from '../shared/wire/rom.ts';
import type { Installation } from '../shared/wire/status.ts';
import type { Clock } from './clock.ts';
import { openEmulated } from './rig/emulated.ts';
import type { Rig } from './rig/rig.ts';
import { SimulatedRig } from './rig/simulated.ts';
import { openUsb } from './rig/usb/open.ts';
import { wantedFrom } from './rig/usb/wanted.ts';
import { keepWorld, loadWorld } from './rig/world-file.ts';

/** What a rig is opened with. */
export interface WorldOptions {
  readonly kind: Installation['rigKind'];
  readonly folder: string;
  readonly config: Config;
  readonly seed: number;
  readonly clock: Clock;
  readonly log: (line: string) => void;
  /** Gives the module `hardware/emulator` and the flashed program; asked only where a board is emulated. */
  readonly loadEmulator: () => Promise<{ emulator: Emulator; hex: string }>;
}

/** A rig and how to end with it. */
export interface World {
  readonly rig: Rig;
  close(): Promise<void>;
}

/** A simulated world is kept this often, so that a restart finds the bath as it was left. */
const KEEP_WORLD_MS = 5000;
/** A world left alone cools; beyond this it has been cold for long. */
const WORLD_AWAY_MOST_S = 24 * 3600;
const COLDEST_FILL_C = 4;

/** Opens the rig asked for. @throws BathkeeperError where the configuration does not allow it */
export function openWorld(options: WorldOptions): Promise<World> {
  if (options.kind === 'usb') return usbWorld(options);
  return options.kind === 'emulated' ? emulatedWorld(options) : simulatedWorld(options);
}

async function usbWorld({ config, log }: WorldOptions): Promise<World> {
  const rig = openUsb({ config, log });
  return { rig, close: () => rig.close() };
}

/** The simulated world as it was left, cooled without heat for the time nobody was there. */
async function simulatedWorld(options: WorldOptions): Promise<World> {
  const { clock, seed } = options;
  const path = join(options.folder, 'world.json');
  const { plant, awayMs } = keptPlant(path, clock);
  const rig = new SimulatedRig({
    spec: hutSpec(),
    plant,
    seed,
    nowMs: clock.monotonicMs() - awayMs,
    text: 'the hut kitchen with a 28 L cool box, a 1 kW element and a circulation pump.',
  });
  return keeping(rig, path, () => rig.plantState(), clock);
}

function keptPlant(path: string, clock: Clock): { plant: PlantState | null; awayMs: number } {
  const kept = loadWorld(path);
  const awayS = kept ? Math.min(WORLD_AWAY_MOST_S, Math.max(0, (clock.wallMs() - kept.savedAtMs) / 1000)) : 0;
  return { plant: kept?.plant ?? null, awayMs: awayS * 1000 };
}

function keeping(rig: Rig, path: string, state: () => PlantState, clock: Clock): World {
  const keep = () => keepWorld(path, state(), clock.wallMs());
  const timer = setInterval(keep, KEEP_WORLD_MS);
  return {
    rig,
    async close() {
      clearInterval(timer);
      await rig.close();
      keep();
    },
  };
}

/** An emulated board by itself, for trying the commissioning. */
export interface EmulatedBoard {
  readonly nowMs: number;
  readonly heaterClosed: boolean;
  waterPresent: boolean;
  readonly faults: { pullUsb(): void; plugUsb(): void };
  advanceTo(ms: number): void;
}

/** Of `hardware/emulator`, what is needed here; the module itself is loaded by main alone. */
export interface Emulator {
  readonly BATH_PROBE_ROMS: Readonly<Record<(typeof PROBE_ROLES)[number], readonly number[]>>;
  readonly BoardInBath: new (options: {
    hex: string;
    spec: ReturnType<typeof hutSpec>;
    plant: PlantState;
    eeprom: { load(): Uint8Array | undefined; save(cells: Uint8Array): void };
  }) => { readonly board: object; readonly nowMs: number; advanceTo(ms: number): void };
  readonly Board: new (options: {
    hex: string;
    probes: readonly { rom: readonly number[]; celsius: () => number }[];
  }) => EmulatedBoard;
  readonly BoardStream: new (board: object, options: { resetOnOpen: boolean }) => Duplex;
}

/** The emulated board in the simulated bath. Its EEPROM is kept, so that a latched cut outlives a restart. */
async function emulatedWorld(options: WorldOptions): Promise<World> {
  const { clock, config, folder, seed } = options;
  const { emulator, hex } = await options.loadEmulator();
  const spec = hutSpec();
  const path = join(folder, 'world.json');
  const startC = Math.max(COLDEST_FILL_C, spec.ambientC);
  const plant = keptPlant(path, clock).plant ?? newPlant(spec, seed, startC);
  const eeprom = eepromFile(join(folder, 'board-eeprom.bin'));
  const bath = new emulator.BoardInBath({ hex, spec, plant, eeprom });
  const probes = PROBE_ROLES.map((role) => ({ rom: romText(emulator.BATH_PROBE_ROMS[role]), role }));
  const bathRom = romText(emulator.BATH_PROBE_ROMS.bath);
  const rig = await openEmulated({
    bench: {
      get nowMs() {
        return bath.nowMs;
      },
      advanceTo: (ms) => bath.advanceTo(ms),
      connect: () => new emulator.BoardStream(bath.board, { resetOnOpen: true }),
    },
    wanted: wantedFrom(config, bathRom),
    config: { probes, calibrations: [] },
    spec,
    plant,
    nowMs: clock.monotonicMs(),
    text: 'the hut kitchen, heated through an emulated board that runs the program as flashed.',
  }).catch((error: Error) => {
    throw new BathkeeperError('rig-mute', error.message);
  });
  return keeping(rig, path, () => plant, clock);
}

function eepromFile(path: string): { load(): Uint8Array | undefined; save(cells: Uint8Array): void } {
  return {
    load() {
      try {
        return Uint8Array.from(readFileSync(path));
      } catch {
        return undefined;
      }
    },
    save(cells) {
      writeFileSync(`${path}.new`, cells);
      renameSync(`${path}.new`, path);
    },
  };
}

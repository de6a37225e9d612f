import {
  Board,
  type BoardSnapshot,
  restoreBoard,
  romBytes,
  romHex,
  snapshotBoard,
} from '../../hardware/emulator/index.ts';
import { newRandom, pick, type Random, uniform, uniformBetween } from '../../shared/units/random.ts';
import type { BoardLimits } from '../../shared/wire/board.ts';
import { type HostState, LeaseHost } from './campaign-host.ts';
import { image } from './firmware-rig.ts';

/** The image that is flashed. */
export const FIRMWARE_HEX = image();

export const BATH_ROM = romBytes(0x0000_1a2b_3c4d);
export const BATH_NAME = romHex(BATH_ROM);
const CORE_ROM = romBytes(0x0000_5e6f_7a8b);
/** 70 degC; the loosest silence and the longest heat the firmware allows, so that nothing but the fault cuts. */
export const LIMITS: BoardLimits = { bathRom: BATH_ROM, maxCode: 70 * 16, maxHeatS: 21_600, silenceMs: 3500 };
const TICK_MS = 1000;
// Ends just after a tick, so that a moment may put its own next tick anywhere in the second to come.
const STEADY_MS = 8501;
const BASES = 4;

/** A board with heat on, its host, and chance. */
export interface Scene {
  board: Board;
  host: LeaseHost;
  random: Random;
  bathC: number;
  nextTickMs: number;
}

/** Lets time pass; the host ticks once a second. */
export function pass(scene: Scene, ms: number): void {
  const untilMs = scene.board.nowMs + ms;
  while (scene.nextTickMs <= untilMs) {
    scene.board.advanceTo(scene.nextTickMs);
    scene.host.tick();
    scene.nextTickMs += TICK_MS;
  }
  scene.board.advanceTo(untilMs);
}

function makeScene(seed: number, ownSupply: boolean, watchdogHz: number): Scene {
  const scene = { random: newRandom(seed), bathC: 60, nextTickMs: TICK_MS } as Scene;
  scene.board = new Board({
    hex: FIRMWARE_HEX,
    seed,
    ownSupply,
    watchdogHz,
    probes: [
      { rom: BATH_ROM, celsius: () => scene.bathC },
      { rom: CORE_ROM, celsius: () => 12 },
    ],
  });
  scene.host = new LeaseHost(scene.board.link);
  return scene;
}

interface Base {
  board: BoardSnapshot;
  host: HostState;
}
const bases = new Map<number, Base>();

/** A board that has heated steadily for some seconds; made once for each of a few first seeds. */
function base(number: number): Base {
  const made = bases.get(number);
  if (made !== undefined) return made;
  const scene = makeScene(number + 1, true, 128_000);
  pass(scene, 1500);
  scene.host.connect(LIMITS);
  scene.host.state.renewing = true;
  pass(scene, STEADY_MS);
  if (!scene.board.heaterClosed) {
    throw new Error(`No heat in the base scene ${number}; refusals ${scene.host.state.refusals.join(', ')}.`);
  }
  const kept = {
    board: snapshotBoard(scene.board),
    host: structuredClone(scene.host.state),
  };
  bases.set(number, kept);
  return kept;
}

/**
 * A moment with heat on, told by its seed: which board, how far into the second, how long its leases, whether it has
 * a supply of its own, and how fast its watchdog runs. The oscillator is taken to be within 25 % of 128 kHz; typical
 * curves of the ATmega328P datasheet stay within 10 % (from memory), the rest is our allowance.
 */
export function sceneAt(seed: number): Scene {
  const random = newRandom(seed);
  const { board, host } = base(pick(random, BASES));
  const ownSupply = uniform(random) < 0.5;
  const scene = makeScene(seed, ownSupply, uniformBetween(random, 96_000, 160_000));
  restoreBoard(scene.board, board);
  scene.board.noise.state = newRandom(seed).state;
  scene.host.state = structuredClone(host);
  scene.random = random;
  scene.nextTickMs = scene.board.nowMs + uniformBetween(random, 0, TICK_MS - 1);
  scene.host.state.durationMs = 1600 + 100 * pick(random, 5);
  pass(scene, TICK_MS + uniformBetween(random, 0, TICK_MS));
  return scene;
}

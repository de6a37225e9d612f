import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import {
  BATH_PROBE_ROMS,
  Board,
  type BoardPty,
  type EepromStore,
  openPty,
  processClock,
  runInRealTime,
} from '../../hardware/emulator/index.ts';
import { FIRMWARE_HEX } from './rig-bench.ts';

export const pause = (ms: number): Promise<void> => new Promise((resolve) => setTimeout(resolve, ms));

/** The emulated board in real time, behind a pseudo-terminal that any program can open. */
export interface PtyBoard {
  readonly board: Board;
  readonly path: string;
  /** Degrees C at the bath probe. */
  bathC: number;
  /** The board's time runs this many times faster: for what only reads, a lease would be old before it arrives. */
  speed: number;
  /** The plug out; the pseudo-terminal vanishes. */
  unplug(): void;
  /** The plug in again, under the same name. */
  plug(): Promise<void>;
  close(): Promise<void>;
}

/** Sets one up with a bath probe at 60 degC and one in the room. */
export async function ptyBoard(eeprom?: EepromStore): Promise<PtyBoard> {
  const folder = mkdtempSync(join(tmpdir(), 'bath-rig-'));
  const path = join(folder, 'tty');
  const bench = { bathC: 60, speed: 1 };
  const board = new Board({
    hex: FIRMWARE_HEX,
    probes: [
      { rom: BATH_PROBE_ROMS.bath, celsius: () => bench.bathC },
      { rom: BATH_PROBE_ROMS.ambient, celsius: () => 18 },
    ],
    ...(eeprom ? { eeprom } : {}),
  });
  board.advance(500);
  let boardMs = processClock.nowMs();
  let lastMs = boardMs;
  const nowMs = (): number => {
    const now = processClock.nowMs();
    boardMs += (now - lastMs) * bench.speed;
    lastMs = now;
    return boardMs;
  };
  const pace = runInRealTime(board, { nowMs, every: processClock.every });
  let pty: BoardPty | null = await openPty(board, { path });
  return Object.assign(bench, {
    board,
    path,
    unplug() {
      board.faults.pullUsb();
    },
    async plug() {
      await pty?.close();
      board.faults.plugUsb();
      pty = await openPty(board, { path });
    },
    async close() {
      await pty?.close();
      pace.stop();
      rmSync(folder, { recursive: true, force: true });
    },
  });
}

/** Waits until something is so, at most `mostMs`; `words` say what was seen instead. */
export async function until(what: () => boolean, mostMs: number, words: () => string): Promise<void> {
  const endMs = performance.now() + mostMs;
  while (!what()) {
    if (performance.now() > endMs) throw new Error(`Waited ${mostMs} ms in vain for ${what}; ${words()}`);
    await pause(5);
  }
}

import { createHash } from 'node:crypto';
import type { ChipState } from './avr/chip.ts';
import { type CoreState, restoreCore, snapshotCore } from './avr/core-state.ts';
import type { Board } from './board/board.ts';
import type { LinkState } from './board/link.ts';
import type { SounderState } from './board/sounder.ts';
import type { SwitchesState } from './board/switches.ts';
import type { BusState } from './onewire/bus.ts';

/** A whole board between two instructions, as plain data (survives JSON). */
export interface BoardSnapshot {
  format: 1;
  /** SHA-256 of the flash it ran: a snapshot makes sense with the same program only. */
  program: string;
  chip: ChipState;
  core: CoreState;
  /** EEPROM cells, base64, and how often each was erased. */
  eeprom: string;
  wear: number[];
  bus: BusState;
  link: LinkState;
  switches: SwitchesState;
  sounder: SounderState;
  waterPresent: boolean;
  noise: number;
}

const programOf = (board: Board): string => createHash('sha256').update(board.image.words).digest('hex');

/** Writes a board down. The board goes on undisturbed. */
export function snapshotBoard(board: Board): BoardSnapshot {
  return {
    format: 1,
    program: programOf(board),
    chip: structuredClone(board.chip.state),
    core: snapshotCore(board.chip.core),
    eeprom: Buffer.from(board.chip.cells.bytes).toString('base64'),
    wear: [...board.chip.cells.wear],
    bus: board.bus.snapshot(),
    link: structuredClone(board.link.state),
    switches: structuredClone(board.switches.state),
    sounder: structuredClone(board.sounder.state),
    waterPresent: board.waterPresent,
    noise: board.noise.state,
  };
}

/**
 * Puts a snapshot into a board made with the same program and probes; from there on both boards do the same.
 * What lies outside a board stays its own: temperatures, listeners, EEPROM store (which is saved to at once).
 * Throws when the program differs or the snapshot has a probe the board was not given.
 */
export function restoreBoard(board: Board, snapshot: BoardSnapshot): void {
  if (snapshot.program !== programOf(board)) {
    throw new Error('The snapshot was taken with another program. Take a new one with the .hex in use.');
  }
  board.bus.restore(snapshot.bus, board.probes);
  board.link.state = structuredClone(snapshot.link);
  board.switches.state = structuredClone(snapshot.switches);
  board.sounder.state = structuredClone(snapshot.sounder);
  board.noise.state = snapshot.noise;
  board.chip.cells.replace(Buffer.from(snapshot.eeprom, 'base64'), snapshot.wear);
  board.chip.restore(
    structuredClone(snapshot.chip),
    (core) => restoreCore(core, snapshot.core),
    snapshot.core.cycles,
  );
  board.waterPresent = snapshot.waterPresent;
}

import { readFileSync } from 'node:fs';
import { Board, type BoardOptions } from '../../../hardware/emulator/index.ts';

/** Text of a program beside this file. */
export const program = (name: string): string =>
  readFileSync(new URL(`${name}.hex`, import.meta.url), 'utf8');

/** A board that runs the exerciser, and what it said. */
export class Talk {
  readonly board: Board;
  heard: number[] = [];

  constructor(options: Partial<BoardOptions> = {}) {
    this.board = new Board({ hex: program('exerciser'), ...options });
    this.board.link.onByte((byte) => this.heard.push(byte));
    this.board.advance(100);
    this.heard = [];
  }

  /** Sends text or bytes, waits, and gives what came back. */
  say(what: string | number[], waitMs = 20): number[] {
    this.heard = [];
    this.board.link.write(typeof what === 'string' ? Buffer.from(what) : what);
    this.board.advance(waitMs);
    return this.heard;
  }
}

import { createHash } from 'node:crypto';
import { describe, expect, it } from 'vitest';
import { parseIntelHex } from '../../hardware/emulator/avr/hex.ts';
import {
  Board,
  type BoardSnapshot,
  restoreBoard,
  romBytes,
  snapshotBoard,
} from '../../hardware/emulator/index.ts';
import { program, Talk } from './emulator-fixtures/talk.ts';

const digest = (snapshot: BoardSnapshot): string =>
  createHash('sha256').update(JSON.stringify(snapshot)).digest('hex');

describe('snapshot', () => {
  it('survives JSON, and the restored board does the same as the first one to the last bit', () => {
    // Taken at odd moments: in a byte, in an EEPROM write, in a conversion by the timers, asleep, in reset.
    for (const atMs of [0.1, 0.35, 1.3, 2.2, 7.77]) {
      const talk = new Talk({ seed: 3 });
      talk.say('DHE\u0009Zaaaae\u0009A\u0002', atMs);
      const kept = JSON.stringify(snapshotBoard(talk.board));
      talk.say('T', 60);
      const again = new Talk({ seed: 99 });
      again.say('hello', 11);
      restoreBoard(again.board, JSON.parse(kept) as BoardSnapshot);
      again.say('T', 60);
      expect(again.heard).toEqual(talk.heard);
      expect(digest(snapshotBoard(again.board))).toBe(digest(snapshotBoard(talk.board)));
    }
  });

  it('holds a board in the middle of its start-up, without power, and with a probe unplugged', () => {
    const probes = [{ rom: romBytes(5), celsius: () => 60 }];
    const board = new Board({ hex: program('exerciser'), probes });
    board.advance(30);
    board.faults.unplugProbe(board.probes.keys().next().value!);
    const starting = snapshotBoard(board);
    board.faults.cutPower();
    const unpowered = snapshotBoard(board);
    const other = new Board({ hex: program('exerciser'), probes });
    restoreBoard(other, starting);
    expect(other.bus.probes.size).toBe(0);
    other.advance(40);
    expect(other.chip.state.running).toBe(true);
    restoreBoard(other, unpowered);
    other.advance(100);
    expect(other.chip.state.running).toBe(false);
  });

  it('is refused by a board with another program, saying what to do', () => {
    const snapshot = snapshotBoard(new Board({ hex: program('exerciser') }));
    expect(() => restoreBoard(new Board({ hex: program('timers') }), snapshot)).toThrow(
      /another program.*Take a new one/,
    );
  });
});

describe('Intel HEX', () => {
  // The record is the worked example of the Intel "Hexadecimal Object File Format Specification" (1988), from memory.
  it('takes the specification record and rests the flash at FF', () => {
    const image = parseIntelHex(':10010000214601360121470136007EFE09D2190140\n:00000001FF\n');
    expect(image.usedBytes).toBe(16);
    expect([image.words[0x80], image.words[0x87], image.words[0]]).toEqual([0x4621, 0x0119, 0xffff]);
  });

  it.each([
    [':10010000214601360121470136007EFE09D2190141\n:00000001FF', /Line 1 .*checksum/],
    [':00000001FF\n'.replace(':', ''), /Line 1 .*not a record/],
    [':0100000000FF\n', /no end record/],
    [':02000004000AF0\n:0100000000FF\n:00000001FF', /32768 bytes/],
  ])('refuses a damaged file, naming line and fault', (text, message) => {
    expect(() => parseIntelHex(text)).toThrow(message);
  });
});

import { expect, it } from 'vitest';
import { Board, romBytes } from '../../hardware/emulator/index.ts';
import { decodeBoardMessage } from '../../shared/wire/board.ts';
import { PROBE_FLAG } from '../../shared/wire/board-codes.ts';
import { takeFrames } from '../../shared/wire/board-frame.ts';
import { FIRMWARE_HEX } from './campaign-scene.ts';

// Corners of the DS18B20 datasheet, "AC electrical characteristics": a slave samples, and holds a zero, from 15 to 60 us
// after the falling edge; waits 15 to 60 us before its presence pulse of 60 to 240 us.
const SLOTS = [15.1, 59.9].flatMap((sampleUs) => [15, 60].map((holdUs) => ({ sampleUs, holdUs })));
const PRESENCES = [
  { presenceWaitUs: 15, presenceUs: 60 },
  { presenceWaitUs: 60, presenceUs: 240 },
];
const CORNERS = SLOTS.flatMap((slot) => PRESENCES.map((presence) => ({ ...slot, ...presence })));

it.each(CORNERS)('the firmware finds and reads four probes on one bus whose timing is %o', (timing) => {
  const board = new Board({
    hex: FIRMWARE_HEX,
    probes: [1, 2, 3, 4].map((n) => ({ rom: romBytes(n * 7919), celsius: () => 50 + n, timing })),
  });
  let pending: number[] = [];
  const codes = new Set<number>();
  board.link.onByte((byte) => {
    const taken = takeFrames(pending, [byte]);
    pending = taken.pending;
    for (const message of taken.frames.map(decodeBoardMessage)) {
      if (message.kind !== 'probe') continue;
      expect(message.flags & PROBE_FLAG.good).toBe(PROBE_FLAG.good);
      codes.add(message.scratchpad[0]! + 256 * message.scratchpad[1]!);
    }
  });
  board.advance(3000);
  expect([...codes].sort()).toEqual([51, 52, 53, 54].map((celsius) => celsius * 16));
});

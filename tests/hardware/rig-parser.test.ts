import { PassThrough } from 'node:stream';
import { describe, expect, it } from 'vitest';
import { BoardLink } from '../../controller/rig/usb/link.ts';
import { BATH_PROBE_ROMS, Board } from '../../hardware/emulator/index.ts';
import { newRandom, uniform } from '../../shared/units/random.ts';
import { romText } from '../../shared/wire/rom.ts';
import { FIRMWARE_HEX, WANTED } from './rig-bench.ts';

const BYTES = 1_000_000;
const TRUE_C = 61.5;

/** Some seconds of what a board really says, handshake answers included. */
function recording(): Uint8Array {
  const board = new Board({
    hex: FIRMWARE_HEX,
    probes: [{ rom: BATH_PROBE_ROMS.bath, celsius: () => TRUE_C }],
  });
  const bytes: number[] = [];
  board.link.onByte((byte) => bytes.push(byte));
  board.advance(300);
  // Version, firmware, capabilities, analog mapping: what a host asks for.
  board.link.write([0xf9, 0xf0, 0x79, 0xf7, 0xf0, 0x6b, 0xf7, 0xf0, 0x69, 0xf7]);
  board.advance(6000);
  return Uint8Array.from(bytes);
}

describe('host parser', () => {
  it('takes a million random and mutated bytes without a crash and without a false reading', async () => {
    const random = newRandom(20);
    const clean = recording();
    const port = new PassThrough();
    // What is written would come back as if the board had said it: only what is pushed here is heard.
    port.write = () => true;
    let nowMs = 0;
    let heard = 0;
    const link = new BoardLink({ transport: port, nowMs: () => nowMs, wanted: WANTED });
    link.start();
    const feed = (bytes: Uint8Array): void => {
      nowMs += 1;
      port.emit('data', Buffer.from(bytes));
      for (const probe of link.view().probes) {
        if (probe.celsius === null) continue;
        heard++;
        expect(probe).toMatchObject({ rom: romText(BATH_PROBE_ROMS.bath), celsius: TRUE_C });
      }
    };
    feed(clean);
    await new Promise((resolve) => setImmediate(resolve));
    feed(clean);
    expect(link.view().phase).toBe('limits');
    expect(heard).toBeGreaterThan(0);
    let fed = 0;
    while (fed < BYTES) {
      const wild = uniform(random) < 0.5;
      const chunk = wild ? noise(random, 400) : mutated(clean, random);
      feed(chunk);
      fed += chunk.length;
      expect(['limits', 'refused', 'ready']).toContain(link.view().phase);
    }
    expect(link.view().phase).not.toBe('ready');
    link.close();
  });
});

function noise(random: ReturnType<typeof newRandom>, count: number): Uint8Array {
  return Uint8Array.from({ length: count }, () => Math.floor(uniform(random) * 256));
}

/** A piece of a real record with bits flipped, bytes lost and bytes doubled. */
function mutated(clean: Uint8Array, random: ReturnType<typeof newRandom>): Uint8Array {
  const from = Math.floor(uniform(random) * (clean.length - 500));
  const out: number[] = [];
  for (const byte of clean.slice(from, from + 500)) {
    const chance = uniform(random);
    if (chance < 0.01) out.push(byte ^ (1 << Math.floor(uniform(random) * 8)));
    else if (chance < 0.015) out.push(byte, byte);
    else if (chance > 0.005 + 0.015) out.push(byte);
  }
  return Uint8Array.from(out);
}

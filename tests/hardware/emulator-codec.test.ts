import { readFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  BOARD_ID,
  clearFrame,
  decodeBoardMessage,
  leaseFrame,
  limitsFrame,
  NO_CODE,
  releaseFrame,
} from '../../shared/wire/board.ts';
import {
  ANSWER_CODES,
  BLOCKS,
  blockNames,
  TRIP_CAUSES,
  tripCauseName,
} from '../../shared/wire/board-codes.ts';
import {
  crc16,
  decodeFrame,
  encodeFrame,
  pack7,
  takeFrames,
  unpack7,
} from '../../shared/wire/board-frame.ts';

const hex = (bytes: Iterable<number>): string =>
  Buffer.from([...bytes])
    .toString('hex')
    .toUpperCase();
const CONTRACT = readFileSync(new URL('../../hardware/firmware/PROTOCOL.md', import.meta.url), 'utf8');
const byte = fc.integer({ min: 0, max: 255 });

/** Rows of a table of the contract below a heading: number and name. */
function rows(heading: string): [number, string][] {
  const section = CONTRACT.split(/^## /m).find((part) => part.startsWith(heading)) ?? '';
  return [...section.matchAll(/^\| (\d+) \| (\w+) \|/gm)].map(([, number, name]) => [
    Number(number),
    name ?? '',
  ]);
}

describe('check value', () => {
  // Source: catalogue of parametrised CRC algorithms, CRC-16/IBM-3740 (CCITT-FALSE), check 29B1.
  it('of "123456789" is 29B1', () => {
    expect(crc16(Buffer.from('123456789'))).toBe(0x29b1);
  });
});

describe('packing into 7 bits', () => {
  // Reference: firmata-io 2.3.0, whose encoder the 1-Wire messages of Firmata use.
  const reference = createRequire(import.meta.url)('firmata-io/lib/encoder7bit.js') as {
    to7BitArray(data: number[]): number[];
    from7BitArray(data: number[]): number[];
  };

  it('agrees with the encoder of firmata-io for every length, and comes back whole', () => {
    fc.assert(
      fc.property(fc.array(byte, { minLength: 1, maxLength: 70 }), (bytes) => {
        // The reference appends an empty group when the bits come out even (7 bytes in 8 groups); drop it.
        const expected = reference.to7BitArray(bytes).slice(0, Math.ceil((bytes.length * 8) / 7));
        expect(pack7(bytes)).toEqual(expected);
        expect(unpack7(pack7(bytes))).toEqual(bytes);
      }),
    );
  });

  it('refuses fill bits that are not zero and bytes with a top bit', () => {
    expect(unpack7([0x7f, 0x03])).toBeNull();
    expect(unpack7([0x80, 0x00])).toBeNull();
  });
});

describe('frames', () => {
  // Worked examples of hardware/firmware/PROTOCOL.md, section 1.
  it('come out as the contract prints its two examples', () => {
    const switches = { regulating: true, guard: true };
    const lease = leaseFrame({ tag: 0x2a, nonce: 0x12345678, session: 0xbeef, durationMs: 1600, switches });
    expect(hex(lease)).toBe('F0082A7059222362' + '3B5F400C0C781512F7');
    expect(hex(releaseFrame(7))).toBe('F00E074E3B02F7');
    expect(CONTRACT).toContain('F0 08 2A 70 59 22 23 62 3B 5F 40 0C 0C 78 15 12 F7');
  });

  it('have the lengths the contract lists', () => {
    const limits = { bathRom: [0x28, 1, 2, 3, 4, 5, 6, 7], maxCode: -160, maxHeatS: 60, silenceMs: 3000 };
    const lengths = { limits: limitsFrame(1, limits).length, clear: clearFrame(1, 2, 3, 4).length };
    expect(lengths).toEqual({ limits: 23, clear: 15 });
    const body = decodeFrame(limitsFrame(1, limits));
    expect(typeof body === 'string' ? body : hex(body.body.slice(9, 11))).toBe('60FF');
  });

  it('with any one bit changed are never taken for another message', () => {
    const frame = encodeFrame(BOARD_ID.answer, [1, 8, 6, 0x20, 0x03]);
    expect(decodeBoardMessage(frame)).toEqual({ kind: 'answer', tag: 1, id: 8, code: 6, detail: 800 });
    for (let at = 2; at < frame.length - 1; at += 1) {
      for (let bit = 0; bit < 8; bit += 1) {
        const changed = frame.with(at, frame[at]! ^ (1 << bit));
        expect(decodeBoardMessage(changed).kind).toBe('damaged');
      }
    }
  });

  it('are cut out of a stream however it is chopped, and whatever lies between', () => {
    const frames = [releaseFrame(1), releaseFrame(2)];
    const stream = [0xf9, 2, 6, ...frames[0]!, 0x91, 3, 0, 0xf0, 1, 2, 0xe0, 5, 0xf7, ...frames[1]!];
    fc.assert(
      fc.property(fc.array(fc.integer({ min: 1, max: 9 }), { minLength: 30 }), (cuts) => {
        let pending: number[] = [];
        const found: number[][] = [];
        for (let at = 0, cut = 0; at < stream.length; cut += 1) {
          const size = cuts[cut % cuts.length]!;
          const taken = takeFrames(pending, stream.slice(at, at + size));
          found.push(...taken.frames);
          pending = taken.pending;
          at += size;
        }
        expect(found).toEqual(frames);
      }),
    );
  });

  it('of random bytes are never read, never throw, and never make the reader hold more than 512 bytes', () => {
    fc.assert(
      fc.property(fc.array(byte, { maxLength: 2000 }), (bytes) => {
        const { pending, frames } = takeFrames([], [0xf0, ...bytes]);
        expect(pending.length).toBeLessThanOrEqual(512);
        for (const frame of frames) {
          expect(['foreign', 'damaged']).toContain(decodeBoardMessage(frame).kind);
        }
      }),
    );
  });

  it('are refused with field and range when a number does not fit', () => {
    const switches = { regulating: true, guard: true };
    const lease = { tag: 0, nonce: 2 ** 32, session: 0, durationMs: 1600, switches };
    expect(() => leaseFrame(lease)).toThrow(/nonce must be a whole number from 0 to 4294967295/);
    expect(() => limitsFrame(0, { bathRom: [1], maxCode: 0, maxHeatS: 0, silenceMs: 0 })).toThrow(
      /8 bytes, not 1/,
    );
  });
});

describe('status', () => {
  it('is read field by field where the contract puts it', () => {
    const body = new Array<number>(47).fill(0);
    const put = (at: number, bytes: number[]): void => void body.splice(at, bytes.length, ...bytes);
    put(0, [1, 2, 3, 4, 1]);
    put(5, [0x10, 0x27, 0, 0, 7, 0, 0, 0, 0x78, 0x56, 0x34, 0x92]);
    put(17, [0b0111, 0b10, 0x40, 0x06, 4, 0x34, 0x12, 0x0a, 0b11, 0x15, 0, 0xcd, 0xab, 6]);
    put(31, [1, 0, 2, 0, 3, 0, 4, 0, 5, 0, 0x00, 0x80, 2, 3, 0xff, 0xff]);
    expect(decodeBoardMessage(encodeFrame(BOARD_ID.status, body))).toEqual({
      kind: 'status',
      protocol: 1,
      firmware: '2.3.4',
      guardFitted: true,
      attendedOnly: false,
      uptimeMs: 10_000,
      bootCount: 7,
      nonce: 0x92345678,
      commanded: { regulating: true, guard: true },
      measured: { regulating: true, guard: false },
      leased: { regulating: false, guard: true },
      leaseLeftMs: 1600,
      latchedCause: 4,
      latchedDetail: 0x1234,
      resetCause: 0x0a,
      waterPresent: true,
      levelContactClosed: true,
      blocks: 0x15,
      limitsCrc: 0xabcd,
      lastRefusal: 6,
      refusedCount: 1,
      badCrcCount: 2,
      lostBytes: 3,
      heatRunS: 4,
      bathAgeMs: 5,
      bathCode: NO_CODE,
      probeCount: 2,
      sounder: 3,
      conversion: 0xffff,
    });
  });
});

describe('numbers and names', () => {
  it('are those of the contract: answer codes, causes of a trip, what blocks a lease', () => {
    expect(ANSWER_CODES.map(({ name }, code) => [code, name])).toEqual(rows('3. Answer codes'));
    expect(TRIP_CAUSES.map((name, cause) => [cause, name])).toEqual(rows('5. Causes of a trip'));
    expect(BLOCKS.map((name, bit) => [bit, name])).toEqual(rows('4. `blocks`'));
  });

  it('are given for sets of bits and for causes not known yet', () => {
    expect(blockNames(0b1_0010)).toEqual(['latched', 'levelLow']);
    expect(tripCauseName(99)).toBe('unknown 99');
  });
});

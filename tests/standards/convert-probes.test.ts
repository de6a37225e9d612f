import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { readScratchpad } from '../../controller/rig/convert/ds18b20.ts';
import { oneWireCrc, probeRomSchema, romBytes, romFault, romText } from '../../shared/wire/rom.ts';
import { DS18B20_CODES, DS18B20_RESOLUTIONS, DS18B20_SCRATCHPADS, ONE_WIRE_CRCS } from './convert-figures.ts';

const bytesOf = (text: string) => text.split(' ').map((pair) => Number.parseInt(pair, 16));
const padOf = (code: number, config = 0x7f) => {
  const bytes = [code & 0xff, (code >> 8) & 0xff, 0x4b, 0x46, config, 0xff, 0x0c, 0x10];
  return [...bytes, oneWireCrc(bytes)];
};

describe('the 1-Wire check byte', () => {
  for (const [text, crc, source] of ONE_WIRE_CRCS) {
    it(`is ${crc.toString(16).toUpperCase()} over ${text} (${source})`, () => {
      expect(oneWireCrc(bytesOf(text))).toBe(crc);
      expect(oneWireCrc([...bytesOf(text), crc])).toBe(0);
    });
  }
});

describe('a DS18B20 scratchpad', () => {
  it('gives every temperature of table 1 of the data sheet exactly', () => {
    for (const [celsius, code] of DS18B20_CODES) {
      expect(readScratchpad(padOf(code), celsius)).toEqual({
        celsius,
        quality: 'good',
        why: null,
        resolutionBits: 12,
      });
    }
  });

  it('gives every temperature of the whole frames exactly', () => {
    let worst = 0;
    for (const [celsius, frame] of DS18B20_SCRATCHPADS) {
      const read = readScratchpad(bytesOf(frame), celsius);
      expect(read.quality).toBe('good');
      worst = Math.max(worst, Math.abs(read.celsius! - celsius));
    }
    console.log(`DS18B20: ${DS18B20_SCRATCHPADS.length} frames, largest deviation ${worst} C`);
    expect(worst).toBe(0);
  });

  for (const [bits, stepC, config] of DS18B20_RESOLUTIONS) {
    it(`masks the undefined low bits at ${bits} bits and steps by ${stepC} degrees (data sheet, table 2)`, () => {
      const undefinedBits = stepC / 0.0625 - 1;
      for (const code of [0x0191, 0xfe6f, 0x03c0, 0x03cf]) {
        const read = readScratchpad(padOf(code | undefinedBits, config), null);
        expect(read.resolutionBits).toBe(bits);
        expect(read.celsius! / stepC).toBe(Math.round(read.celsius! / stepC));
        expect(read.celsius).toBe(readScratchpad(padOf(code & ~undefinedBits, config), null).celsius);
      }
    });
  }

  it('is not believed when all nine bytes are zero, though their checksum is right', () => {
    const zeros = new Array(9).fill(0);
    expect(oneWireCrc(zeros)).toBe(0);
    expect(readScratchpad(zeros, 60)).toMatchObject({ celsius: null, quality: 'crc', resolutionBits: null });
    expect(readScratchpad(zeros, 60).why).toContain('short');
  });

  it('says that the probe is absent when all bytes are ones', () => {
    expect(readScratchpad(new Array(9).fill(0xff), 60)).toMatchObject({ celsius: null, quality: 'absent' });
  });

  it('refuses any single flipped bit of any frame', () => {
    for (const [celsius, frame] of DS18B20_SCRATCHPADS) {
      for (let bit = 0; bit < 72; bit++) {
        const bytes = bytesOf(frame);
        bytes[bit >> 3]! ^= 1 << (bit & 7);
        expect(readScratchpad(bytes, celsius).celsius).toBeNull();
      }
    }
  });

  it('refuses wrong fixed bytes even where the checksum is right', () => {
    for (const [index, value] of [
      [5, 0x00],
      [7, 0x00],
      [4, 0x7e],
      [4, 0xff],
    ] as const) {
      const bytes = padOf(0x03c0).slice(0, 8);
      bytes[index] = value;
      expect(readScratchpad([...bytes, oneWireCrc(bytes)], 60)).toMatchObject({
        celsius: null,
        quality: 'crc',
      });
    }
  });

  it('refuses a code outside -55 to 125 degrees whatever its checksum', () => {
    for (const code of [0x07d1, 0x0fff, 0xfc8f, 0x8000]) {
      expect(readScratchpad(padOf(code), 60)).toMatchObject({ celsius: null, quality: 'range' });
    }
  });

  it('believes 85.0 only from a probe that was within 5 degrees of it', () => {
    const pad = padOf(0x0550);
    for (const near of [80, 84.9375, 85, 90]) expect(readScratchpad(pad, near).celsius).toBe(85);
    for (const far of [null, 79.9375, 90.0625, 20, -5]) {
      expect(readScratchpad(pad, far)).toMatchObject({ celsius: null, quality: 'power-on' });
    }
    expect(readScratchpad(padOf(0x0551), null).celsius).toBe(85.0625);
  });

  it('never throws and never lets a value out that its checks did not pass, whatever the bytes', () => {
    const any = fc.array(fc.oneof(fc.integer({ min: 0, max: 255 }), fc.double(), fc.constant(-1)), {
      maxLength: 12,
    });
    fc.assert(
      fc.property(any, fc.option(fc.double({ min: -55, max: 125, noNaN: true })), (bytes, last) => {
        const read = readScratchpad(bytes, last);
        const right = bytes.length === 9 && bytes.every((b) => Number.isInteger(b) && b >= 0 && b < 256);
        if (read.quality !== 'good') return read.celsius === null && read.why !== null;
        return right && oneWireCrc(bytes) === 0 && bytes[5] === 0xff && bytes[7] === 0x10;
      }),
      { numRuns: 20_000 },
    );
  });
});

describe('the ROM of a probe', () => {
  const serial = [0x28, 0xff, 0x64, 0x1d, 0x93, 0x16, 0x04];
  const rom = [...serial, oneWireCrc(serial)];

  it('is 16 hexadecimal digits that go to bytes and back', () => {
    expect(romBytes(romText(rom))).toEqual(rom);
    expect(probeRomSchema.parse(romText(rom))).toBe(romText(rom));
  });

  it('is refused with any one digit mistyped', () => {
    const text = romText(rom);
    for (let at = 0; at < 16; at++) {
      for (const digit of '0123456789ABCDEF') {
        if (digit === text[at]) continue;
        const typed = text.slice(0, at) + digit + text.slice(at + 1);
        expect(romFault(typed)).not.toBeNull();
        expect(probeRomSchema.safeParse(typed).success).toBe(false);
      }
    }
  });

  it('is refused with words that say how it must look', () => {
    expect(romFault('28-0316')).toContain('16 hexadecimal digits');
    expect(romFault(romText(rom).toLowerCase())).toContain('capitals');
    expect(romFault('10FF641D93160400')).toContain('family 10');
    expect(() => romBytes('nonsense')).toThrow(RangeError);
  });
});

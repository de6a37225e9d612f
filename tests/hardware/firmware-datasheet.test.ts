import { describe, expect, it } from 'vitest';
import { FirmwareRig, rom } from './firmware-rig.ts';
import { crc8, crc16, frame, make } from './firmware-wire.ts';

describe('DS18B20 codes through bus, firmware and message', () => {
  // DS18B20 data sheet, table 1, "Temperature/Data Relationship" (12 bit).
  const TABLE: [number, number][] = [
    [125, 0x07d0],
    [25.0625, 0x0191],
    [10.125, 0x00a2],
    [0.5, 0x0008],
    [0, 0x0000],
    [-0.5, 0xfff8],
    [-10.125, 0xff5e],
    [-25.0625, 0xfe6f],
    [-55, 0xfc90],
  ];

  it('arrive as the data sheet prints them, negative ones too', () => {
    const rig = new FirmwareRig();
    rig.connect({ maxRaw: 1520 });
    for (const [celsius, code] of TABLE) {
      rig.celsius = celsius;
      rig.probes = [];
      rig.readBack();
      rig.advance(2100);
      const { scratchpad, flags } = rig.probes.at(-1)!;
      expect(flags & 1).toBe(1);
      expect(scratchpad[0]! + scratchpad[1]! * 256).toBe(code);
      expect(crc8(scratchpad.slice(0, 8))).toBe(scratchpad[8]);
      expect(rig.status.bathRaw & 0xffff).toBe(code);
    }
  });

  it('are converted once a second, and each reading carries the number of its conversion', () => {
    const rig = new FirmwareRig();
    rig.advance(12_000);
    const numbers = rig.probes.map((probe) => probe.conversion);
    expect(numbers).toEqual(numbers.map((_, i) => i + 1));
    const steps = rig.probes.slice(1).map((probe, i) => probe.uptimeMs - rig.probes[i]!.uptimeMs);
    for (const step of steps.slice(1)) expect(Math.abs(step - 1000)).toBeLessThanOrEqual(20);
  });
});

describe('1-Wire timing as the bus sees it', () => {
  it('keeps every slot within the data sheet, and misses no bit, while bytes pour in at line rate', () => {
    const rig = new FirmwareRig({
      probes: [1, 2, 3].map((n) => ({ rom: rom(n), celsius: () => 20 + n })),
    });
    rig.connect();
    rig.probes = [];
    const lowUs: number[] = [];
    const slotUs: number[] = [];
    const recoveryUs: number[] = [];
    const { bus, chip } = rig.board;
    const drive = bus.drive.bind(bus);
    let was = false;
    let fellUs = 0;
    let roseUs = 0;
    bus.drive = (low) => {
      const nowUs = chip.cycles / 16;
      if (low && !was) {
        if (fellUs > 0) {
          slotUs.push(nowUs - fellUs);
          recoveryUs.push(nowUs - roseUs);
        }
        fellUs = nowUs;
      } else if (!low && was) {
        lowUs.push(nowUs - fellUs);
        roseUs = nowUs;
      }
      was = low;
      drive(low);
    };
    for (let round = 0; round < 20; round++) {
      rig.send(Array.from({ length: 700 }, (_, i) => 0x40 + (i % 32)));
      rig.heat(1);
    }
    expect(lowUs.length).toBeGreaterThan(10_000);
    // DS18B20 data sheet, AC characteristics: tLOW1 and tLOWR 1 to 15 us, tLOW0 60 to 120 us, tRSTL 480 us at least.
    const outside = lowUs.filter(
      (us) => !((us >= 1 && us <= 15) || (us >= 60 && us <= 120) || (us >= 480 && us <= 640)),
    );
    expect(outside).toEqual([]);
    // tSLOT 60 us at least, tREC 1 us at least.
    expect(Math.min(...slotUs)).toBeGreaterThanOrEqual(60);
    expect(Math.min(...recoveryUs)).toBeGreaterThanOrEqual(1);
    expect(rig.probes.length).toBeGreaterThanOrEqual(57);
    expect(rig.probes.every((probe) => probe.flags & 1)).toBe(true);
    expect(rig.status.lostBytes).toBe(0);
  });
});

describe('probes at the corners of their data sheet', () => {
  // DS18B20 data sheet, AC characteristics: tPDHIGH 15 to 60 us, tPDLOW 60 to 240 us, tRDV 15 us; a slot is sampled
  // between 15 and 60 us after its falling edge.
  const corners = [15, 60].flatMap((sampleUs) =>
    [15, 60].flatMap((holdUs) =>
      [15, 60].flatMap((presenceWaitUs) =>
        [60, 240].map((presenceUs) => ({ sampleUs, holdUs, presenceWaitUs, presenceUs })),
      ),
    ),
  );

  it.each(corners)('are found and read without a fault: %o', (timing) => {
    const rig = new FirmwareRig({
      probes: [1, 2].map((n) => ({ rom: rom(n), celsius: () => 40 + n, timing })),
    });
    rig.advance(3500);
    expect(rig.probes.length).toBeGreaterThanOrEqual(4);
    expect(rig.probes.every((probe) => probe.flags === 1 && probe.count === 2)).toBe(true);
  });
});

describe('the CRC on our messages', () => {
  it('is CRC-16/IBM-3740', () => {
    // Check value from the catalogue of parametrised CRC algorithms.
    expect(crc16([...'123456789'].map((digit) => digit.charCodeAt(0)))).toBe(0x29b1);
  });

  it('makes the frames that the page prints as examples', () => {
    const hex = (bytes: number[]): string =>
      bytes
        .map((byte) => byte.toString(16).padStart(2, '0'))
        .join(' ')
        .toUpperCase();
    expect(hex(make.lease({ tag: 0x2a, nonce: 0x12345678, session: 0xbeef }))).toBe(
      'F0 08 2A 70 59 22 23 62 3B 5F 40 0C 0C 78 15 12 F7',
    );
    expect(hex(frame(0x0e, [7]))).toBe('F0 0E 07 4E 3B 02 F7');
  });
});

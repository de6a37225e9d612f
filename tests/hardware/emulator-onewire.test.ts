import { describe, expect, it } from 'vitest';
import { crc8 } from '../../hardware/emulator/onewire/crc8.ts';
import { Ds18b20 } from '../../hardware/emulator/onewire/ds18b20.ts';
import {
  romBytes,
  scratchpadBytes,
  storedConfig,
  temperatureCode,
} from '../../hardware/emulator/onewire/scratchpad.ts';
import { OneWireMaster } from './emulator-fixtures/one-wire-master.ts';

const hex = (bytes: Iterable<number>): string =>
  Buffer.from([...bytes])
    .toString('hex')
    .toUpperCase();
const bytes = (text: string): number[] => [...Buffer.from(text.replaceAll(' ', ''), 'hex')];

function rig(celsius: number, ...serials: number[]): { master: OneWireMaster; probes: Ds18b20[] } {
  const master = new OneWireMaster();
  const probes = serials.map((serial) => new Ds18b20(romBytes(serial), () => celsius));
  for (const probe of probes) master.bus.attach(probe);
  return { master, probes };
}

function convertAndRead(master: OneWireMaster, waitUs = 750_000): number[] {
  master.reset();
  master.write(0xcc, 0x44);
  master.wait(waitUs);
  return readScratchpad(master);
}

function readScratchpad(master: OneWireMaster): number[] {
  master.reset();
  master.write(0xcc, 0xbe);
  return master.read(9);
}

describe('DS18B20 data', () => {
  // Source: Maxim/Analog Devices DS18B20 datasheet, table 1 "Temperature/Data Relationship".
  it.each([
    [125, '07D0'],
    [85, '0550'],
    [25.0625, '0191'],
    [10.125, '00A2'],
    [0.5, '0008'],
    [0, '0000'],
    [-0.5, 'FFF8'],
    [-10.125, 'FF5E'],
    [-25.0625, 'FE6F'],
    [-55, 'FC90'],
  ])('codes %d degC as the datasheet prints it', (celsius, code) => {
    expect(temperatureCode(celsius)).toBe(Number.parseInt(code, 16));
  });

  // Source: Maxim application note 27, example 2 (ROM 02 1C B8 01 00 00 00 with check byte A2).
  it('computes the check byte of the worked example and leaves no remainder over it', () => {
    expect(crc8(bytes('02 1C B8 01 00 00 00'))).toBe(0xa2);
    expect(crc8(bytes('02 1C B8 01 00 00 00 A2'))).toBe(0);
  });

  // Source: catalogue of parametrised CRC algorithms, CRC-8/MAXIM-DOW, check value A1.
  it('computes the catalogue check value of CRC-8/MAXIM-DOW', () => {
    expect(crc8(Buffer.from('123456789'))).toBe(0xa1);
  });

  // Nine bytes computed from the datasheet's memory map with TH 4B, TL 46, config 7F; CRC as above.
  it.each([
    [85, '50 05 4B 46 7F FF 0C 10 1C'],
    [25.0625, '91 01 4B 46 7F FF 0C 10 70'],
    [-10.125, '5E FF 4B 46 7F FF 0C 10 6A'],
    [60, 'C0 03 4B 46 7F FF 0C 10 54'],
  ])('lays out the scratchpad of %d degC as the memory map does', (celsius, expected) => {
    const registers = { alarmHigh: 0x4b, alarmLow: 0x46, config: 0x7f };
    expect(hex(scratchpadBytes(temperatureCode(celsius), registers))).toBe(expected.replaceAll(' ', ''));
  });

  // Source: datasheet, table 2 and figure "Configuration register": 0 R1 R0 1 1 1 1 1.
  it('stores only the two resolution bits of a configuration byte', () => {
    expect([0x00, 0x20, 0x40, 0xff].map(storedConfig)).toEqual([0x1f, 0x3f, 0x5f, 0x7f]);
  });

  it('refuses a serial number that does not fit 48 bits, naming it', () => {
    expect(() => romBytes(2 ** 48)).toThrow(/281474976710656/);
  });
});

describe('DS18B20 on the wire', () => {
  it('answers a reset with a presence pulse only while it is plugged in', () => {
    const { master, probes } = rig(20, 1);
    expect(master.reset()).toBe(true);
    master.bus.detach(probes[0]!.name);
    expect(master.reset()).toBe(false);
  });

  it('reads +85 degC before its first conversion, as the datasheet says of power-on', () => {
    const { master } = rig(20, 1);
    expect(hex(readScratchpad(master))).toBe('5005' + '4B467FFF0C101C');
  });

  it('keeps the line busy for 0.75 s at 12 bit and shows the new value only then', () => {
    const { master } = rig(25.0625, 1);
    master.reset();
    master.write(0xcc, 0x44);
    expect(master.readBit()).toBe(0);
    master.wait(700_000);
    expect(master.readBit()).toBe(0);
    expect(hex(readScratchpad(master).slice(0, 2))).toBe('5005');
    master.wait(50_000);
    expect(hex(readScratchpad(master).slice(0, 2))).toBe('9101');
  });

  it('is done with a 9-bit conversion within 93.75 ms', () => {
    const { master } = rig(25.0625, 1);
    master.reset();
    master.write(0xcc, 0x4e, 0x4b, 0x46, 0x1f);
    expect(hex(convertAndRead(master, 93_750))).toBe(
      hex(scratchpadBytes(0x0191, { alarmHigh: 0x4b, alarmLow: 0x46, config: 0x1f })),
    );
  });

  // The algorithm is that of Maxim application note 187.
  it('is found by a ROM search among several, also where serial numbers differ in one bit', () => {
    const serials = [1, 3, 0x800000000001, 0x123456789abc, 0x123456789abd, 2 ** 47, 0];
    const { master, probes } = rig(20, ...serials);
    const found = master.search().map(hex).sort();
    expect(found).toEqual(probes.map((probe) => probe.name).sort());
  });

  it('answers an alarm search only after a conversion at or beyond its alarm registers', () => {
    const { master, probes } = rig(0, 5, 6);
    master.bus.detach(probes[1]!.name);
    const hot = new Ds18b20(romBytes(9), () => 72.5);
    master.bus.attach(hot);
    expect(master.search(0xec)).toEqual([]);
    convertAndRead(master);
    // 0 degC lies at or below the low alarm of 70 degC, 72.5 degC between the two.
    expect(master.search(0xec).map(hex)).toEqual([probes[0]!.name]);
  });

  it('is addressed alone by Match ROM and read alone by Read ROM', () => {
    const { master, probes } = rig(20, 1, 2);
    master.reset();
    master.write(0x55, ...probes[1]!.rom, 0x4e, 0x11, 0x22, 0x7f);
    master.reset();
    master.write(0x55, ...probes[0]!.rom, 0xbe);
    expect(hex(master.read(9).slice(2, 5))).toBe('4B467F');
    master.reset();
    master.write(0x55, ...probes[1]!.rom, 0xbe);
    expect(hex(master.read(9).slice(2, 5))).toBe('11227F');
    master.bus.detach(probes[0]!.name);
    master.reset();
    master.write(0x33);
    expect(hex(master.read(8))).toBe(probes[1]!.name);
  });

  it('keeps registers through a power cut only after Copy Scratchpad', () => {
    const { master, probes } = rig(20, 1);
    const write = (high: number): void => {
      master.reset();
      master.write(0xcc, 0x4e, high, 0x05, 0x3f);
    };
    write(0x30);
    master.bus.powerOn();
    expect(hex(readScratchpad(master).slice(2, 5))).toBe('4B467F');
    write(0x30);
    master.reset();
    master.write(0xcc, 0x48);
    master.wait(10_000);
    master.bus.powerOn();
    expect(hex(readScratchpad(master).slice(2, 5))).toBe('30053F');
    expect(probes[0]!.state.code).toBe(0x0550);
  });

  it('says that it has a supply of its own', () => {
    const { master } = rig(20, 1);
    master.reset();
    master.write(0xcc, 0xb4);
    expect(master.readBit()).toBe(1);
  });

  it('fails its check byte when a single bit is flipped, wherever it is', () => {
    for (let skipped = 0; skipped < 72; skipped += 1) {
      const { master } = rig(61.5, 1);
      convertAndRead(master);
      master.reset();
      master.write(0xcc, 0xbe);
      const bits = Array.from({ length: 72 }, (_, index) => {
        master.bus.disturb(0, index === skipped ? 1 : 0);
        return master.readBit();
      });
      const read = Array.from({ length: 9 }, (_, i) =>
        bits.slice(8 * i, 8 * i + 8).reduce((b, v, k) => b | (v << k), 0),
      );
      expect(crc8(read)).not.toBe(0);
    }
  });

  it('reads all zeros on a wire shorted to ground, which pass the CRC, and all ones without a probe', () => {
    const { master, probes } = rig(61.5, 1);
    master.bus.short('ground');
    expect(crc8(readScratchpad(master))).toBe(0);
    expect(hex(readScratchpad(master))).toBe('00'.repeat(9));
    master.bus.short(null);
    master.wait(1000);
    master.bus.detach(probes[0]!.name);
    expect(hex(readScratchpad(master))).toBe('FF'.repeat(9));
  });

  // Corners of the datasheet's slot timing: it may look at the line, and hold a zero, from 15 to 60 us.
  it.each([15, 60])('works with a master in time when it samples and lets go at %d us', (us) => {
    const master = new OneWireMaster();
    const probe = new Ds18b20(romBytes(1), () => 61.5, { sampleUs: us, holdUs: us });
    master.bus.attach(probe);
    expect(hex(convertAndRead(master).slice(0, 2))).toBe('D803');
  });
});

import { EventEmitter } from 'node:events';
import type { Duplex } from 'node:stream';
import type { FirmataBoard } from 'firmata-io';
import { describe, expect, it, vi } from 'vitest';
import { ForeignReader } from '../../controller/rig/usb/foreign.ts';
import { BoardLink } from '../../controller/rig/usb/link.ts';
import type { Probes } from '../../controller/rig/usb/probes.ts';
import { BATH_PROBE_ROMS, Board, BoardStream, runInRealTime } from '../../hardware/emulator/index.ts';
import { ntc } from './analogue-circuits.ts';
import { FIRMWARE_HEX, ROM, WANTED } from './rig-bench.ts';
import { pause } from './rig-pty.ts';

/**
 * The board as if it ran another Firmata: its name is changed on the way, and our own messages do not pass. What is
 * left is the protocol's own 1-Wire, which the flashed program answers too while no limits are set.
 */
class ForeignPort extends EventEmitter {
  readonly written: number[] = [];
  private readonly board: BoardStream;

  constructor(board: BoardStream) {
    super();
    this.board = board;
    board.on('data', (bytes: Buffer) => {
      const text = Buffer.from(bytes);
      // "B" of the name, as two 7-bit bytes after F0 79 major minor.
      for (let at = 0; at + 4 < text.length; at++) {
        if (text[at] === 0xf0 && text[at + 1] === 0x79) text[at + 4] = 0x58;
        if (text[at] === 0xf0 && (text[at + 1] ?? 0) < 0x10) text[at + 1] = 0x0f;
      }
      this.emit('data', text);
    });
  }

  write(bytes: Uint8Array, done?: () => void): boolean {
    this.written.push(...bytes);
    return this.board.write(bytes, () => done?.());
  }
}

describe('a board without our firmware', () => {
  it('has its probes read by Firmata, checksum and sign checked, and is never asked for heat', async () => {
    const board = new Board({
      hex: FIRMWARE_HEX,
      probes: [{ rom: BATH_PROBE_ROMS.bath, celsius: () => -7.5 }],
    });
    board.advance(500);
    const pace = runInRealTime(board);
    const port = new ForeignPort(new BoardStream(board, { resetOnOpen: false }));
    const nowMs = () => performance.now();
    const link = new BoardLink({ transport: port as unknown as Duplex, nowMs, wanted: WANTED });
    await pause(20);
    link.start();
    for (let waited = 0; link.view().phase === 'greeting' && waited < 8000; waited += 20) {
      await pause(20);
      link.poll();
    }
    expect(link.view()).toMatchObject({ phase: 'reading', fault: { code: 'rig-foreign-firmware' } });
    const parts = link.reader();
    if (parts === null) throw new Error('no reader');
    const reader = new ForeignReader({ ...parts, nowMs, onChange: () => undefined });
    reader.start();
    const read = () => link.view().probes.find((probe) => probe.rom === ROM.bath)?.celsius ?? null;
    for (let waited = 0; read() === null && waited < 15_000; waited += 50) await pause(50);
    expect(read()).toBe(-7.5);
    // Three bits of the next answer arrive flipped: its checksum tells, and there is no reading, not a wrong one.
    const quality = () => link.view().probes.find((probe) => probe.rom === ROM.bath)?.quality;
    board.faults.flipBits(0, 3);
    for (let waited = 0; quality() !== 'crc' && waited < 10_000; waited += 20) {
      await pause(20);
      expect([-7.5, null]).toContain(read());
    }
    expect(quality()).toBe('crc');
    expect(read()).toBeNull();
    for (let waited = 0; read() === null && waited < 10_000; waited += 50) await pause(50);
    expect(read()).toBe(-7.5);
    link.order({ kind: 'lease', tag: 1, nonce: 1, ms: 1600, regulating: true, guard: true });
    expect(port.written.some((byte, at) => byte === 0xf0 && port.written[at + 1] === 0x08)).toBe(false);
    expect(board.heaterClosed).toBe(false);
    reader.stop();
    link.close();
    pace.stop();
  }, 40_000);

  it('has its analogue pins read beside its DS18B20, by a converter and reports that were not written for this', async () => {
    // 103AT-2 table: 60 degC is 3.02 kohm; below 2.2 kohm on the converter's own reference that is 0.5785 of it.
    const fraction = 3020 / (3020 + 2200);
    const board = new Board({
      hex: FIRMWARE_HEX,
      probes: [{ rom: BATH_PROBE_ROMS.bath, celsius: () => 59.5 }],
      analog: (channel: number) => (channel === 1 ? fraction : 0),
    });
    board.advance(500);
    const pace = runInRealTime(board);
    const port = new ForeignPort(new BoardStream(board, { resetOnOpen: false }));
    const nowMs = () => performance.now();
    const analogue = [ntc('A1'), ntc('A2')];
    const link = new BoardLink({ transport: port as unknown as Duplex, nowMs, wanted: WANTED, analogue });
    await pause(20);
    link.start();
    for (let waited = 0; link.view().phase === 'greeting' && waited < 8000; waited += 20) {
      await pause(20);
      link.poll();
    }
    const parts = link.reader();
    if (parts === null) throw new Error('no reader');
    const reader = new ForeignReader({ ...parts, nowMs, onChange: () => undefined });
    reader.start();
    const seen = (name: string) => link.view().probes.find((probe) => probe.rom === name);
    for (let waited = 0; !(seen('A1')?.celsius && seen(ROM.bath)?.celsius) && waited < 15_000; waited += 50) {
      await pause(50);
    }
    expect(Math.abs(seen('A1')!.celsius! - 60)).toBeLessThan(seen('A1')!.analogue!.stepK! + 0.04);
    expect(seen('A2')).toMatchObject({ celsius: null, quality: 'shorted' });
    expect(seen(ROM.bath)?.celsius).toBe(59.5);
    reader.stop();
    link.close();
    pace.stop();
  }, 40_000);

  it('that answers too late is asked in one round after another, never in two at once', async () => {
    vi.useFakeTimers();
    const rom = [...BATH_PROBE_ROMS.bath];
    const lateMs = 5000;
    let rounds = 0;
    let heard = 0;
    // As firmata-io does: an error once the time is over, and the answer all the same when it comes.
    const late =
      <T>(answer: T) =>
      (callback: (error: Error | null, answer: T) => void) => {
        setTimeout(() => callback(new Error('time-out'), answer), lateMs);
        setTimeout(() => callback(null, answer), lateMs + 10);
      };
    const io = {
      ...{ sendOneWireConfig: () => undefined, sendOneWireReset: () => undefined },
      sendOneWireSearch: (_pin: number, callback: (error: Error | null, found: number[][]) => void) =>
        callback(null, [rom]),
      sendOneWireWrite: () => rounds++,
      sendOneWireWriteAndRead: (
        _pin: number,
        _rom: number[],
        _command: number,
        _count: number,
        callback: (error: Error | null, bytes: number[]) => void,
      ) => late([0])(callback),
    } as unknown as FirmataBoard;
    const probes = { hearScratchpad: () => heard++ } as unknown as Probes;
    const port = { write: () => true, hearChannels: () => undefined };
    const parts = { io, probes, port, analogue: [], nowMs: () => 0, onChange: () => undefined };
    const reader = new ForeignReader(parts);
    reader.start();
    await vi.advanceTimersByTimeAsync(60_000);
    reader.stop();
    vi.useRealTimers();
    // Each round waits 0.8 s for the conversion, 5 s for the answer and 0.4 s for the next: ten in a minute, not thousands.
    expect(rounds).toBeGreaterThanOrEqual(8);
    expect(rounds).toBeLessThanOrEqual(11);
    expect(heard).toBe(0);
  });
});

import type { AddressInfo } from 'node:net';
import { createServer, type Server, type Socket } from 'node:net';

/*
 * A programmer that speaks STK500 version 1 (Atmel application note AVR061) over TCP, with an ATmega328P behind it: what
 * a bootloader or a simple ISP programmer does, so that a real avrdude can be run without a chip.
 */

const [IN_SYNC, OK, END] = [0x14, 0x10, 0x20];
const SIGNATURE = [0x1e, 0x95, 0x0f];

/** What has been written to the chip. */
export interface FakeChip {
  readonly flash: Uint8Array;
  /** By the programming instruction's first two bytes: low AC A0, high AC A8, extended AC A4. */
  readonly fuses: { low: number; high: number; extended: number };
  readonly port: number;
  close(): Promise<void>;
}

interface State {
  flash: Uint8Array;
  fuses: { low: number; high: number; extended: number };
  address: number;
}

/** Starts the programmer on a free port of this machine; fuses as boards come with them. */
export async function fakeChip(): Promise<FakeChip> {
  const state: State = {
    flash: new Uint8Array(32_768).fill(0xff),
    fuses: { low: 0xff, high: 0xde, extended: 0xfd },
    address: 0,
  };
  const server: Server = createServer((socket) => serve(socket, state));
  await new Promise<void>((resolve) => server.listen(0, '127.0.0.1', resolve));
  return {
    flash: state.flash,
    fuses: state.fuses,
    port: (server.address() as AddressInfo).port,
    close: () => new Promise((resolve) => server.close(() => resolve())),
  };
}

function serve(socket: Socket, state: State): void {
  let waiting: number[] = [];
  socket.on('data', (data) => {
    waiting.push(...data);
    for (;;) {
      const length = lengthOf(waiting);
      if (length === null || waiting.length < length) return;
      const command = waiting.slice(0, length);
      waiting = waiting.slice(length);
      if (command[length - 1] !== END) throw new Error(`command ${command} does not end with 0x20`);
      socket.write(Uint8Array.from([IN_SYNC, ...answer(command, state), OK]));
    }
  });
  socket.on('error', () => socket.destroy());
}

/** Bytes of the command at the head, its end mark included; null while that cannot be told. */
function lengthOf(bytes: readonly number[]): number | null {
  const [command, first, second] = bytes;
  if (command === undefined) return null;
  if (command === 0x64) return second === undefined ? null : 5 + first! * 256 + second;
  if (command === 0x45) return first === undefined ? null : 2 + first;
  const fixed: Record<number, number> = { 64: 4, 65: 3, 66: 22, 85: 4, 86: 6, 116: 5 };
  return fixed[command] ?? 2;
}

function answer(bytes: readonly number[], state: State): number[] {
  const [command, first, second] = bytes as [number, number, number];
  const at = state.address * 2;
  if (command === 0x41) return [first === 0x81 ? 4 : 3];
  if (command === 0x75) return SIGNATURE;
  if (command === 0x55) state.address = first | (second << 8);
  if (command === 0x64) state.flash.set(bytes.slice(4, -1), at);
  if (command === 0x74) return [...state.flash.slice(at, at + first * 256 + second)];
  if (command === 0x56) return [universal(bytes.slice(1, 5), state)];
  return [];
}

/** A serial programming instruction (ATmega328P data sheet, "Serial Programming Instruction Set"). */
function universal(bytes: readonly number[], { flash, fuses }: State): number {
  const [a, b, c, d] = bytes as [number, number, number, number];
  if (a === 0xac && b === 0x80) flash.fill(0xff);
  if (a === 0xac && b === 0xa0) fuses.low = d;
  if (a === 0xac && b === 0xa8) fuses.high = d;
  // Only three bits are there; the others read as ones.
  if (a === 0xac && b === 0xa4) fuses.extended = d | 0xf8;
  if (a === 0x50 && b === 0x00) return fuses.low;
  if (a === 0x58 && b === 0x08) return fuses.high;
  if (a === 0x50 && b === 0x08) return fuses.extended;
  return a === 0x30 ? SIGNATURE[c]! : 0;
}

import { existsSync, mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { SerialPort } from 'serialport';
import { describe, expect, it } from 'vitest';
import {
  Board,
  BoardStream,
  type HostClock,
  openPty,
  runFree,
  runInRealTime,
} from '../../hardware/emulator/index.ts';
import { program } from './emulator-fixtures/talk.ts';

const event = (emitter: NodeJS.EventEmitter, name: string): Promise<unknown> =>
  new Promise((resolve) => emitter.once(name, resolve));

async function openedStream(board: Board): Promise<{ stream: BoardStream; heard: number[] }> {
  const stream = new BoardStream(board);
  const heard: number[] = [];
  stream.on('data', (bytes: Buffer) => heard.push(...bytes));
  await event(stream, 'open');
  await runFree(board, board.nowMs + 100);
  return { stream, heard };
}

describe('stream face', () => {
  it('carries bytes both ways while the board runs free', async () => {
    const board = new Board({ hex: program('exerciser') });
    const { stream, heard } = await openedStream(board);
    stream.write(Buffer.from('abc'));
    await runFree(board, board.nowMs + 50);
    expect(Buffer.from(heard).toString()).toBe('!bcd');
  });

  it('closes with `disconnected` when the plug is pulled, and refuses writes from then on', async () => {
    const board = new Board({ hex: program('exerciser') });
    const { stream } = await openedStream(board);
    const closed = event(stream, 'close');
    board.faults.pullUsb();
    expect(await closed).toMatchObject({ disconnected: true });
    const failed = event(stream, 'error');
    stream.write('x');
    expect(String(await failed)).toMatch(/not open/);
  });

  it('holds bytes of a stalled cable in both directions and lets them all go on release', async () => {
    const board = new Board({ hex: program('exerciser') });
    const { stream, heard } = await openedStream(board);
    board.faults.stallUsb();
    stream.write('abc');
    await runFree(board, board.nowMs + 100);
    expect(heard.length).toBe(1);
    board.faults.releaseUsb();
    await runFree(board, board.nowMs + 100);
    expect(Buffer.from(heard).toString()).toBe('!bcd');
  });

  it('resets the board on opening where the board is of that kind', async () => {
    const board = new Board({ hex: program('exerciser') });
    await event(new BoardStream(board, { resetOnOpen: true }), 'open');
    expect(board.resets.external).toBe(1);
  });

  it('cannot be opened while the plug is out, and says so', async () => {
    const board = new Board({ hex: program('exerciser'), ownSupply: false });
    board.faults.pullUsb();
    expect(String(await event(new BoardStream(board), 'error'))).toMatch(/plug is out/);
    expect(board.chip.state.powered).toBe(false);
  });
});

describe('real time', () => {
  it('keeps the board in step with the clock and leaves out what a sleeping host missed', () => {
    const board = new Board({ hex: program('exerciser') });
    let nowMs = 1000;
    let tick = (): void => undefined;
    const clock: HostClock = {
      nowMs: () => nowMs,
      every: (_ms, callback) => {
        tick = callback;
        return () => undefined;
      },
    };
    const pace = runInRealTime(board, clock, 5, 500);
    for (let step = 0; step < 20; step += 1) {
      nowMs += 5;
      tick();
    }
    expect(board.nowMs).toBeCloseTo(100, 2);
    nowMs += 3_600_000;
    tick();
    expect(board.nowMs).toBeCloseTo(105, 2);
    expect(pace.leftOutMs).toBeCloseTo(3_599_995, 0);
  });
});

describe('pseudo-terminal face', () => {
  it('is opened by a serial-port library, carries bytes, and vanishes when the plug is pulled', async () => {
    const folder = mkdtempSync(join(tmpdir(), 'board-'));
    const board = new Board({ hex: program('exerciser') });
    board.advance(100);
    const pace = runInRealTime(board);
    const pty = await openPty(board, { path: join(folder, 'tty') });
    const port = new SerialPort({ path: pty.path, baudRate: 57_600, autoOpen: false });
    await new Promise<void>((resolve, reject) => port.open((error) => (error ? reject(error) : resolve())));
    let heard = '';
    const complete = new Promise<void>((resolve) => {
      port.on('data', (bytes: Buffer) => {
        heard += bytes.toString();
        if (heard.length >= 3) resolve();
      });
    });
    port.write('abc');
    await complete;
    expect(heard).toBe('bcd');
    board.faults.pullUsb();
    await pty.close();
    expect(existsSync(pty.path)).toBe(false);
    pace.stop();
    // The library itself may never notice: a hung-up terminal reads as 0 bytes, and it then reads again for ever.
    await new Promise((resolve) => port.close(resolve));
    rmSync(folder, { recursive: true });
  });

  it('says what is missing when it cannot be made', async () => {
    const board = new Board({ hex: program('exerciser') });
    await expect(openPty(board, { path: '/tmp/none', socat: '/no/such/program' })).rejects.toThrow(
      /socat installed/,
    );
    await expect(openPty(board, { path: '/no/such/folder/tty' })).rejects.toThrow(/No pseudo-terminal at/);
  });
});

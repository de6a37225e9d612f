import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { SupervisedBoard } from '../../controller/rig/usb/supervisor.ts';
import type { Wanted } from '../../controller/rig/usb/view.ts';
import {
  BATH_PROBE_ROMS,
  Board,
  type BoardPty,
  openPty,
  runInRealTime,
} from '../../hardware/emulator/index.ts';
import { FIRMWARE_HEX, WANTED } from './rig-bench.ts';

/** A host process on a real pseudo-terminal that leads to the emulated board, in real time. */
export interface UsbBench {
  readonly board: Board;
  readonly host: SupervisedBoard;
  readonly path: string;
  readonly log: string[];
  /** Waits for something, at most `mostMs`. */
  until(what: () => boolean, mostMs?: number): Promise<void>;
  /** Leases once a second from now on, as ticks would send them. */
  renew(): void;
  stopRenewing(): void;
  close(): Promise<void>;
}

export const pause = (ms: number): Promise<void> => new Promise((resolve) => setTimeout(resolve, ms));

export async function usbBench(wanted: Wanted | null = WANTED): Promise<UsbBench> {
  const folder = mkdtempSync(join(tmpdir(), 'bath-rig-'));
  const board = new Board({ hex: FIRMWARE_HEX, probes: [{ rom: BATH_PROBE_ROMS.bath, celsius: () => 60 }] });
  board.advance(500);
  const pace = runInRealTime(board);
  const pty: BoardPty = await openPty(board, { path: join(folder, 'tty') });
  const log: string[] = [];
  const host = new SupervisedBoard({
    path: pty.path,
    wanted,
    nowMs: () => performance.now(),
    log: (line) => log.push(line),
  });
  let tag = 16;
  let timer: NodeJS.Timeout | undefined;
  const lease = (): void => {
    const view = host.view();
    if (view?.phase !== 'ready' || view.status === null || view.status.latchedCause !== 0) return;
    // The same rule as the rig's: a status that is not fresh is no ground for heat.
    if (performance.now() - view.status.arrivedMs > 600) return;
    tag = tag === 255 ? 16 : tag + 1;
    host.send({ kind: 'lease', tag, nonce: view.status.nonce, ms: 1600, regulating: true, guard: true });
  };
  return {
    board,
    host,
    path: pty.path,
    log,
    async until(what, mostMs = 30_000) {
      const endMs = performance.now() + mostMs;
      while (!what()) {
        if (performance.now() > endMs)
          throw new Error(`Waited ${mostMs} ms in vain for ${what}; ${log.join(' ')}`);
        await pause(5);
      }
    },
    renew() {
      timer ??= setInterval(lease, 1000);
      lease();
    },
    stopRenewing() {
      clearInterval(timer);
      timer = undefined;
    },
    async close() {
      clearInterval(timer);
      await host.close();
      await pty.close();
      pace.stop();
      rmSync(folder, { recursive: true, force: true });
    },
  };
}

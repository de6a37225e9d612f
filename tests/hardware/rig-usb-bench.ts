import { SupervisedBoard, type SupervisorOptions } from '../../controller/rig/usb/supervisor.ts';
import type { Wanted } from '../../controller/rig/usb/view.ts';
import type { Board } from '../../hardware/emulator/index.ts';
import { WANTED } from './rig-bench.ts';
import { type PtyBoard, ptyBoard, until } from './rig-pty.ts';

/** A host process on a real pseudo-terminal that leads to the emulated board, in real time. */
export interface UsbBench {
  readonly pty: PtyBoard;
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

/** A host on a board of its own. `patienceMs`: rungs of the ladder shorter than for a real board. */
export async function usbBench(
  wanted: Wanted | null = WANTED,
  more: Pick<SupervisorOptions, 'patienceMs'> = {},
): Promise<UsbBench> {
  const pty = await ptyBoard();
  const { board, path } = pty;
  const log: string[] = [];
  const host = new SupervisedBoard({
    path,
    wanted,
    nowMs: () => performance.now(),
    log: (line) => log.push(line),
    ...more,
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
    pty,
    board,
    host,
    path,
    log,
    until: (what, mostMs = 30_000) => until(what, mostMs, () => log.join(' ')),
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
    },
  };
}

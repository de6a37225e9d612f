import { describe, expect, it } from 'vitest';
import { usbBench } from './rig-usb-bench.ts';

/** BATHKEEPER_CAMPAIGN=1 strikes 20 times with each signal; every run of the tests does it a few times. */
const STRIKES = process.env.BATHKEEPER_CAMPAIGN ? 20 : 2;
/** Design: no fault beyond the board can heat for longer than this, by the board's own clock. */
const MOST_MS = 2000;

describe('the host process on a real pseudo-terminal', () => {
  for (const signal of ['SIGKILL', 'SIGSTOP'] as const) {
    it(`is struck by ${signal} ${STRIKES} times while heating, and the circuit is open within 2.0 s each`, async () => {
      const bench = await usbBench();
      const { board, host } = bench;
      const opened: number[] = [];
      try {
        for (let strike = 0; strike < STRIKES; strike++) {
          await bench.until(() => host.view()?.phase === 'ready');
          // The board wants a fresh bath reading after it was opened.
          await bench.until(() => (host.view()?.status?.blocks ?? 1) === 0);
          bench.renew();
          await bench.until(() => board.heaterClosed);
          const struckMs = board.nowMs;
          process.kill(host.state().pid ?? 0, signal);
          await bench.until(() => !board.heaterClosed);
          opened.push(board.nowMs - struckMs);
          bench.stopRenewing();
          // Another child takes its place by itself.
          await bench.until(() => host.view()?.phase !== 'ready');
        }
        expect(Math.max(...opened)).toBeLessThanOrEqual(MOST_MS);
        expect(opened.length).toBe(STRIKES);
        await bench.until(() => host.view()?.phase === 'ready');
        expect(board.heaterClosed).toBe(false);
      } finally {
        await bench.close();
      }
      if (process.env.BATHKEEPER_CAMPAIGN) console.log(signal, opened.map(Math.round).join(' '));
    }, 400_000);
  }

  it('loses the plug while heating: the circuit opens, the words name the port, and no child is left behind', async () => {
    const bench = await usbBench();
    try {
      await bench.until(() => (bench.host.view()?.status?.blocks ?? 1) === 0);
      bench.renew();
      await bench.until(() => bench.board.heaterClosed);
      const pid = bench.host.state().pid ?? 0;
      const pulledMs = bench.board.nowMs;
      bench.board.faults.pullUsb();
      await bench.until(() => !bench.board.heaterClosed);
      expect(bench.board.nowMs - pulledMs).toBeLessThanOrEqual(MOST_MS);
      await bench.until(() => bench.host.view()?.fault?.code === 'rig-port-missing', 40_000);
      await bench.host.close();
      expect(() => process.kill(bench.host.state().pid ?? pid, 0)).toThrow();
    } finally {
      await bench.close();
    }
  }, 90_000);
});

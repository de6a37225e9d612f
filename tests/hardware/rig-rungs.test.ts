import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { PATIENCE_MS, type Rung } from '../../controller/rig/usb/ladder.ts';
import { TRIP_CAUSES } from '../../shared/wire/board-codes.ts';
import { pause } from './rig-pty.ts';
import { type UsbBench, usbBench } from './rig-usb-bench.ts';

/** Each rung shorter than for a real board, and changed as a test needs it; a child starts within its 15 s in any case. */
const patience: Record<Rung, number> = { ...PATIENCE_MS, retry: 700, reset: 700, reopen: 10_000 };
const HOST_TRIP = TRIP_CAUSES.indexOf('host');
const DETAIL = 7;
let bench: UsbBench;

const rung = () => bench.host.state().ladder.rung;
const pid = () => bench.host.state().pid;
const ready = () => bench.until(() => rung() === 'ready' && bench.host.view()?.phase === 'ready', 40_000);

/** The cut that the board latched at the beginning stands, and nothing heats. */
function latchStands(): void {
  expect(bench.host.view()?.status).toMatchObject({ latchedCause: HOST_TRIP, latchedDetail: DETAIL });
  expect(bench.board.heaterClosed).toBe(false);
}

/** Nothing passes over USB until the ladder stands on a rung; then it all comes at once. */
async function stallUntil(wanted: Rung): Promise<void> {
  bench.board.faults.stallUsb();
  await bench.until(() => rung() === wanted);
  expect(bench.board.heaterClosed).toBe(false);
}

beforeAll(async () => {
  bench = await usbBench(undefined, { patienceMs: patience });
  await ready();
  await bench.until(() => (bench.host.view()?.status?.blocks ?? 1) === 0);
  bench.renew();
  await bench.until(() => bench.board.heaterClosed);
  bench.host.send({ kind: 'trip', detail: DETAIL });
  await bench.until(() => bench.host.view()?.status?.latchedCause === HOST_TRIP);
});
afterAll(() => bench.close());

describe('the ladder for a mute board, with the real child on a pseudo-terminal', () => {
  it('retry: waits, and goes on with the same child once the board speaks again', async () => {
    const before = pid();
    await stallUntil('retry');
    bench.board.faults.releaseUsb();
    await ready();
    expect(pid()).toBe(before);
    latchStands();
  });

  it('reset: goes on with the same child; a pseudo-terminal has no reset line, so the pulse is given by hand', async () => {
    const before = pid();
    await stallUntil('reset');
    bench.board.faults.pressReset(250);
    bench.board.faults.releaseUsb();
    await ready();
    expect(bench.board.resets.external).toBeGreaterThan(0);
    expect(pid()).toBe(before);
    latchStands();
  });

  it('reopen: the same child makes a new port and a new link, which know nothing of the old', async () => {
    const before = pid();
    // After the reset the handshake begins anew; an order that comes before its end is dropped, and asked again.
    for (let asked = 0; bench.host.view()?.answer?.tag !== 33 && asked < 30; asked++) {
      const nonce = bench.host.view()?.status?.nonce ?? 0;
      bench.host.send({ kind: 'lease', tag: 33, nonce, ms: 1600, regulating: true, guard: true });
      await pause(300);
    }
    // Latched: refused, whatever is asked.
    expect(bench.host.view()?.answer?.code).not.toBe(0);
    await stallUntil('reopen');
    bench.board.faults.releaseUsb();
    await ready();
    expect(pid()).toBe(before);
    expect(bench.host.view()?.answer).toBeNull();
    latchStands();
  });

  it('replace: another child takes the place of one that did not get the board to speak', async () => {
    const before = pid();
    patience.reopen = 700;
    await stallUntil('replace');
    patience.reopen = 10_000;
    bench.board.faults.releaseUsb();
    await ready();
    expect(pid()).not.toBe(before);
    latchStands();
  });

  it('give up: safe, says so with what was seen, and takes the board back when it is plugged in again', async () => {
    const before = pid();
    Object.assign(patience, { reopen: 700, replace: 300 });
    bench.pty.unplug();
    await bench.until(() => rung() === 'given-up');
    expect(bench.log.join('\n')).toMatch(/The board: given-up: ./);
    expect(bench.host.view()).toMatchObject({ phase: 'closed', fault: { detail: expect.any(String) } });
    expect(bench.board.heaterClosed).toBe(false);
    await bench.pty.plug();
    const given = pid();
    patience['given-up'] = 100;
    await bench.until(() => pid() !== given && pid() !== null);
    Object.assign(patience, PATIENCE_MS);
    await ready();
    expect(pid()).not.toBe(before);
    latchStands();
  });

  it('leaves a board that heats again once a person has cleared its cut', async () => {
    for (let asked = 0; bench.host.view()?.status?.latchedCause !== 0 && asked < 30; asked++) {
      const nonce = bench.host.view()?.status?.nonce ?? 0;
      bench.host.send({ kind: 'clear', tag: 34, cause: HOST_TRIP, nonce });
      await pause(300);
    }
    await bench.until(() => (bench.host.view()?.status?.blocks ?? 1) === 0);
    await bench.until(() => bench.board.heaterClosed);
    bench.stopRenewing();
    await bench.until(() => !bench.board.heaterClosed, 2500);
  });
});

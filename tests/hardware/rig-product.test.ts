import { execFileSync } from 'node:child_process';
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { type RunningController, startProcess } from '../serve/process.ts';
import { ROM } from './rig-bench.ts';
import { type PtyBoard, ptyBoard, until } from './rig-pty.ts';

/** Design: no fault beyond the board can heat for longer than this, by the board's own clock. */
const MOST_MS = 2000;
let pty: PtyBoard;
let folder: string;
let controller: RunningController;

const start = () =>
  startProcess(join(folder, 'data'), ['--rig', 'usb', '--config', join(folder, 'bathkeeper.json')]);
const heats = () =>
  until(
    () => pty.board.heaterClosed,
    40_000,
    () => controller.output(),
  );

/** From now until the circuit is open, ms of the board's clock. */
async function opens(): Promise<number> {
  const fromMs = pty.board.nowMs;
  await until(
    () => !pty.board.heaterClosed,
    5000,
    () => controller.output(),
  );
  return pty.board.nowMs - fromMs;
}

/** The process that holds the port. */
function boardChild(): number {
  const line = execFileSync('ps', ['-o', 'pid=,args=', '--ppid', `${controller.child.pid}`]).toString();
  const found = line.split('\n').find((one) => /usb\/child\.(js|ts)/.test(one));
  return Number.parseInt(found ?? '', 10);
}

beforeAll(async () => {
  folder = mkdtempSync(join(tmpdir(), 'bath-product-'));
  pty = await ptyBoard();
  pty.bathC = 40;
  const probes = [{ rom: ROM.bath, role: 'bath' }];
  writeFileSync(join(folder, 'bathkeeper.json'), JSON.stringify({ rig: { port: pty.path, probes } }));
  controller = await start();
});
afterAll(async () => {
  await controller?.kill();
  await pty?.close();
  rmSync(folder, { recursive: true, force: true });
});

describe('the whole controller on a real pseudo-terminal', () => {
  it('heats the board that the configuration names, once a paired phone has started a cook', async () => {
    await controller.pair();
    const cook = { cookId: 'hut-supper', name: 'Hut supper', setpointC: 60 };
    const answer = await controller.command({ kind: 'start-cook', ...cook });
    expect(answer.status).toBe(200);
    await heats();
  }, 60_000);

  it('frozen whole: the circuit is open within 2.0 s, and heats again by itself once it is let go', async () => {
    controller.child.kill('SIGSTOP');
    const tookMs = await opens();
    controller.child.kill('SIGCONT');
    expect(tookMs).toBeLessThanOrEqual(MOST_MS);
    await heats();
  }, 60_000);

  it('killed whole: the circuit is open within 2.0 s, no process keeps the port, and the cook goes on by itself after a start', async () => {
    const child = boardChild();
    expect(child).toBeGreaterThan(0);
    controller.child.kill('SIGKILL');
    expect(await opens()).toBeLessThanOrEqual(MOST_MS);
    await until(
      () => !alive(child),
      5000,
      () => `process ${child} still lives`,
    );
    controller = await start();
    // How long it was away it knows by the machine's uptime, whether or not the wall clock is set.
    await heats();
  }, 90_000);

  it('told to stop: heat off at once, and the process that holds the port ends with it', async () => {
    const child = boardChild();
    const ended = controller.stop();
    expect(await opens()).toBeLessThanOrEqual(MOST_MS);
    expect(await ended).toBe(0);
    expect(alive(child)).toBe(false);
  }, 60_000);
});

function alive(pid: number): boolean {
  try {
    process.kill(pid, 0);
    return true;
  } catch {
    return false;
  }
}

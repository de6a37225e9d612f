import { type ChildProcess, spawn } from 'node:child_process';
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { createInterface } from 'node:readline';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import {
  mayFeed,
  serviceNotifier,
  systemdSender,
  type TickFacts,
  watchdogFrom,
} from '../../controller/notify.ts';
import { need } from '../need.mjs';

const WHOLE: TickFacts = { freshReading: true, leaseAsked: true, leaseAnswered: true };
const IDLE: TickFacts = { freshReading: true, leaseAsked: false, leaseAnswered: false };
const UNANSWERED: TickFacts = { freshReading: true, leaseAsked: true, leaseAnswered: false };
const BLIND: TickFacts = { freshReading: false, leaseAsked: false, leaseAnswered: false };

function recorder(watchdogMs: number | null = 90_000) {
  const sent: string[] = [];
  const logged: string[] = [];
  const fault: { error: Error | null } = { error: null };
  const send = async (assignments: readonly string[]) => {
    if (fault.error) throw fault.error;
    sent.push(...assignments);
  };
  const notifier = serviceNotifier({ send, watchdogMs, log: (line) => logged.push(line) });
  const feeds = () => sent.filter((one) => one === 'WATCHDOG=1').length;
  /** Runs ticks a second apart, letting each message out; gives how often the watchdog was fed. */
  const run = async (fromS: number, toS: number, facts: TickFacts) => {
    const before = feeds();
    for (let s = fromS; s < toS; s++) {
      notifier.tick(facts, s * 1000);
      await new Promise((resolve) => setImmediate(resolve));
    }
    return feeds() - before;
  };
  return { notifier, sent, logged, fault, run };
}

describe('the watchdog', () => {
  it('is fed by a tick that saw a fresh reading and the answer to its lease, and by one that asked for none', () => {
    expect(mayFeed(true, WHOLE)).toBe(true);
    expect(mayFeed(true, IDLE)).toBe(true);
  });

  it('is not fed by a tick without a fresh reading, or whose lease was not answered', () => {
    expect(mayFeed(true, UNANSWERED)).toBe(false);
    expect(mayFeed(true, BLIND)).toBe(false);
    expect(mayFeed(true, { ...WHOLE, freshReading: false })).toBe(false);
  });

  it('is fed four times within its time, not at every tick', async () => {
    const { run } = recorder(80_000);
    expect(await run(0, 80, WHOLE)).toBe(4);
  });

  it('starves once what was there is gone, and is fed again when it returns', async () => {
    const { run } = recorder();
    expect(await run(0, 100, WHOLE)).toBeGreaterThan(3);
    expect(await run(100, 400, BLIND)).toBe(0);
    expect(await run(400, 500, UNANSWERED)).toBe(0);
    expect(await run(500, 600, WHOLE)).toBeGreaterThan(3);
  });

  it('lets a process live that never saw a reading, so that a dead probe does not restart the alarms for ever', async () => {
    const { run } = recorder();
    expect(await run(0, 600, BLIND)).toBeGreaterThan(20);
    await run(600, 601, WHOLE);
    expect(await run(700, 900, BLIND)).toBe(0);
  });

  it('is never fed by anything but a tick: no timer, no status, no ready', async () => {
    const { notifier, sent } = recorder(1000);
    notifier.ready();
    notifier.status('holding 68.0 °C');
    await new Promise((resolve) => setTimeout(resolve, 20));
    await notifier.stopping();
    expect(sent).toEqual(['READY=1', 'STATUS=holding 68.0 °C', 'STOPPING=1']);
  });

  it('is not fed where systemd asked for none', async () => {
    const { run, sent } = recorder(null);
    await run(0, 200, WHOLE);
    expect(sent).toEqual([]);
  });

  it('gathers no queue of stale signs of life while the manager does not take them', async () => {
    const waiting: (() => void)[] = [];
    const taken: string[] = [];
    const send = (assignments: readonly string[]) =>
      new Promise<void>((resolve) => {
        taken.push(...assignments);
        waiting.push(resolve);
      });
    const notifier = serviceNotifier({ send, watchdogMs: 1000, log: () => {} });
    for (let s = 0; s < 50; s++) {
      notifier.tick(WHOLE, s * 1000);
      await new Promise((resolve) => setImmediate(resolve));
    }
    expect(taken).toEqual(['WATCHDOG=1']);
  });
});

describe('the time of the watchdog', () => {
  it('comes from the environment, for this process only', () => {
    expect(watchdogFrom({ WATCHDOG_USEC: '90000000' }, 7)).toBe(90_000);
    expect(watchdogFrom({ WATCHDOG_USEC: '90000000', WATCHDOG_PID: '7' }, 7)).toBe(90_000);
    expect(watchdogFrom({ WATCHDOG_USEC: '90000000', WATCHDOG_PID: '8' }, 7)).toBeNull();
    for (const usec of [undefined, '', '0', '-1', '1.5', 'soon'])
      expect(watchdogFrom({ WATCHDOG_USEC: usec }, 7)).toBeNull();
  });
});

describe('what the service manager is told', () => {
  it('is a status of one line, only when it changes, that cannot smuggle in another assignment', async () => {
    const { notifier, sent } = recorder();
    notifier.status('holding\nWATCHDOG=1\r\n68 °C');
    notifier.status('holding\nWATCHDOG=1\r\n68 °C');
    notifier.status('x'.repeat(5000));
    await notifier.stopping();
    expect(sent[0]).toBe('STATUS=holding WATCHDOG=1 68 °C');
    expect(sent[1]?.length).toBeLessThan(220);
    expect(sent).toHaveLength(3);
  });

  it('never breaks the controller when it fails, and says so once', async () => {
    const { notifier, logged, fault, sent } = recorder();
    fault.error = new Error('no manager');
    notifier.ready();
    notifier.status('one');
    await notifier.stopping();
    expect(logged).toEqual(['The service manager cannot be told READY=1: no manager']);
    fault.error = null;
    notifier.status('two');
    await notifier.stopping();
    expect(sent).toEqual(['STATUS=two', 'STOPPING=1']);
  });

  it('is nothing where nobody listens', async () => {
    expect(systemdSender({})).toBeNull();
    expect(systemdSender({ NOTIFY_SOCKET: '' })).toBeNull();
    const notifier = serviceNotifier({ send: null, watchdogMs: 1000, log: () => {} });
    notifier.ready();
    notifier.tick(WHOLE, 0);
    await notifier.stopping();
  });
});

/** The manager's end of the socket: prints each datagram, and lets go of the descriptor that a barrier carries. */
const MANAGER = `
import os, socket, sys
s = socket.socket(socket.AF_UNIX, socket.SOCK_DGRAM)
s.bind(sys.argv[1])
print("listening", flush=True)
while True:
    data, fds, _, _ = socket.recv_fds(s, 4096, 4)
    for fd in fds: os.close(fd)
    print(data.decode().replace(chr(10), " | "), flush=True)
`;

describe("systemd's own messenger", () => {
  const folder = mkdtempSync(join(tmpdir(), 'bathkeeper-notify-'));
  const path = join(folder, 'socket');
  let manager: ChildProcess | null = null;
  beforeAll(async () => {
    await need('systemd', 'systemd-notify');
    await need('python3', 'python3');
  });
  afterAll(() => {
    manager?.kill('SIGKILL');
    rmSync(folder, { recursive: true });
  });

  it('carries the assignments over a real datagram socket of the kind systemd listens on, in order, and waits until they are taken', async () => {
    const heard: string[] = [];
    manager = spawn('python3', ['-c', MANAGER, path], { stdio: ['ignore', 'pipe', 'inherit'] });
    const lines = createInterface({ input: manager.stdout! });
    const listening = new Promise<void>((resolve) => {
      lines.on('line', (line) => (line === 'listening' ? resolve() : heard.push(line)));
    });
    await listening;
    const send = systemdSender({ ...process.env, NOTIFY_SOCKET: path });
    const logged: string[] = [];
    const notifier = serviceNotifier({ send, watchdogMs: 1000, log: (line) => logged.push(line) });
    notifier.ready();
    notifier.status('Hütte: 68 °C');
    notifier.tick(WHOLE, 0);
    await notifier.stopping();
    expect(logged).toEqual([]);
    const said = heard.filter((line) => line !== 'BARRIER=1');
    expect(said).toEqual(['READY=1', 'STATUS=Hütte: 68 °C', 'WATCHDOG=1', 'STOPPING=1']);
  });

  it('reports a socket that is not there, and a messenger that is not installed', async () => {
    const gone = systemdSender({ ...process.env, NOTIFY_SOCKET: join(folder, 'nobody') })!;
    await expect(gone(['READY=1'])).rejects.toThrow(/ended with 1/);
    const missing = systemdSender({ NOTIFY_SOCKET: '/x' }, 'no-such-messenger')!;
    await expect(missing(['READY=1'])).rejects.toThrow(/did not start/);
  });
});

import { spawn } from 'node:child_process';
import { chmodSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, describe, expect, it } from 'vitest';
import { ensureBuilt } from '../built.ts';
import { until } from '../serve/process.ts';

const folder = mkdtempSync(join(tmpdir(), 'bathkeeper-notify-'));
afterAll(() => rmSync(folder, { recursive: true, force: true }));

describe('the controller as a watched service', () => {
  it('says that it is ready, feeds the watchdog from its ticks, and says that it stops', async () => {
    ensureBuilt();
    const heard = join(folder, 'heard');
    // Stands in for systemd's own tool: writes down what it was told.
    const tool = join(folder, 'systemd-notify');
    writeFileSync(tool, `#!/bin/sh\necho "$@" >> ${heard}\n`);
    chmodSync(tool, 0o755);
    writeFileSync(heard, '');
    const args = ['dist/controller/cli/bathkeeper.js', 'run', '--port', '0', '--host', '127.0.0.1'];
    const child = spawn(process.execPath, [...args, '--data', join(folder, 'data')], {
      env: {
        ...process.env,
        PATH: `${folder}:${process.env.PATH}`,
        NOTIFY_SOCKET: '/run/none',
        WATCHDOG_USEC: '2000000',
      },
      stdio: 'ignore',
    });
    const ended = new Promise((resolve) => child.once('exit', resolve));
    const text = () => readFileSync(heard, 'utf8');
    await until(() => text().split('WATCHDOG=1').length > 2, text);
    child.kill('SIGTERM');
    await ended;
    expect(text()).toMatch(/^READY=1\n(WATCHDOG=1\n){2,}STOPPING=1\n$/);
  });
});

import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import Database from 'better-sqlite3';
import { afterAll, describe, expect, it } from 'vitest';
import { type RunningController, startProcess, until } from './process.ts';
import { type HttpBed, httpBed } from './reach-servers.ts';

const folder = mkdtempSync(join(tmpdir(), 'bathkeeper-hangs-'));
let running: RunningController | null = null;
let hook: HttpBed | null = null;
afterAll(async () => {
  await running?.kill();
  await hook?.close();
  rmSync(folder, { recursive: true, force: true });
});

describe('a running controller whose disk hangs', () => {
  it('calls people about an alarm all the same, and takes the call to stop the heat', async () => {
    hook = await httpBed();
    process.env.HUT_HOOK = 'a secret of the valley, long enough';
    const channel = { kind: 'webhook', url: `${hook.url}/alarm`, secret: { env: 'HUT_HOOK' } };
    const config = join(folder, 'bathkeeper.json');
    const people = [{ id: 'cook', name: 'Night cook', channels: [channel] }];
    writeFileSync(config, JSON.stringify({ reach: { people } }));
    // Real time: in demo time nobody outside is called.
    running = await startProcess(folder, ['--config', config]);
    await running.pair();
    const start = { kind: 'start-cook', cookId: 'hut-supper', name: 'Hut supper', setpointC: 68 } as const;
    expect((await running.command(start)).status).toBe(200);
    const alarms = () =>
      (hook?.taken ?? []).flatMap(({ body }) =>
        body.length === 0 ? [] : [JSON.parse(String(body)) as { alarms?: { alarmId: string }[] }],
      );
    const called = (alarmId: string) =>
      alarms().some((one) => one.alarms?.some((alarm) => alarm.alarmId === alarmId));

    // Somebody else holds the write lock: every commit of the controller waits, and fails, and waits.
    const stray = new Database(join(folder, 'simulated', 'journal.sqlite'));
    stray.exec('BEGIN IMMEDIATE');
    expect((await running.plant({ kind: 'probe', probe: 'bath', fault: 'absent' })).status).toBe(200);
    await until(() => called('probe-invalid'), running.output);
    expect(running.output()).toMatch(/The log cannot be written: .*database is locked/);
    // Nothing was committed meanwhile: the answer to a command cannot be promised, and says so.
    const stop = await running.command({ kind: 'stop-heat' });
    expect([stop.status, await stop.text()]).toEqual([503, expect.stringContaining('not-answering')]);

    stray.exec('ROLLBACK');
    stray.close();
    const exported = async () =>
      (await (await running?.get('/api/cooks/hut-supper/export.json'))?.json()) as {
        alarms: { alarmId: string }[];
        commands: { command: { kind: string }; result: { accepted: boolean } }[];
      };
    await until(
      async () => (await exported()).commands.some(({ command }) => command.kind === 'stop-heat'),
      running.output,
    );
    const record = await exported();
    expect(record.alarms.map(({ alarmId }) => alarmId)).toContain('probe-invalid');
    expect(record.commands.every(({ result }) => result.accepted)).toBe(true);
    expect(await running.stop()).toBe(0);
  }, 120_000);
});

import { mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, describe, expect, it } from 'vitest';
import { WebSocket } from 'ws';
import type { Status } from '../../shared/wire/status.ts';
import type { ServerMessage } from '../../shared/wire/stream.ts';
import { type RunningController, startProcess } from './process.ts';

const folder = mkdtempSync(join(tmpdir(), 'bathkeeper-damaged-'));
const data = join(folder, 'data');
const log = join(data, 'simulated', 'journal.sqlite');
const started: RunningController[] = [];
const start = async () => {
  const one = await startProcess(data, ['--speed', '60']);
  started.push(one);
  await one.pair();
  return one;
};
afterAll(async () => {
  for (const one of started) await one.kill();
  rmSync(folder, { recursive: true, force: true });
});

/** What a page is shown first, once it fulfils a condition. */
function statusOf({ url, output }: RunningController, wanted: (status: Status) => boolean): Promise<Status> {
  const ws = new WebSocket(`${url.replace('http', 'ws')}/stream`, { origin: url });
  return new Promise((resolve, reject) => {
    const late = setTimeout(() => reject(new Error(`no such status came:\n${output()}`)), 30_000);
    ws.on('error', reject);
    ws.on('message', (raw) => {
      const message = JSON.parse(String(raw)) as ServerMessage;
      if (message.type === 'hello') ws.send(JSON.stringify({ type: 'resume', bootId: null, sequence: 0 }));
      if (message.type !== 'live' || !message.status || !wanted(message.status)) return;
      clearTimeout(late);
      ws.terminate();
      resolve(message.status);
    });
  });
}

const COOK = { kind: 'start-cook', cookId: 'hut-supper', name: 'Hut supper', setpointC: 68 } as const;
const NECK = {
  ...{ bagId: 'neck', label: 'Pork neck', cutId: 'pork-neck' },
  ...{ beta: 0.7, thicknessMm: 70, massKg: 1.4, startC: 5 },
};

describe('a controller that finds its database damaged while a cook was running', () => {
  it('keeps the damaged files to the byte, begins a new log, says so, gives no heat until a person has looked, and has the cook entered again', async () => {
    const first = await start();
    expect((await first.command(COOK)).status).toBe(200);
    expect((await first.command({ kind: 'bag-in', bag: NECK })).status).toBe(200);
    const running = await statusOf(first, ({ heat, bags }) => heat.granted && bags.length === 1);
    expect(running.cook?.cookId).toBe('hut-supper');
    await first.kill();
    // The first page may stand in the write-ahead log too: both are garbled.
    const [bytes, wal] = ['', '-wal'].map((part) => readFileSync(log + part).fill(0xa5, 0, 4096)) as [
      Buffer,
      Buffer,
    ];
    writeFileSync(log, bytes);
    writeFileSync(`${log}-wal`, wal);

    const second = await start();
    const kept = readdirSync(join(data, 'simulated')).filter((name) =>
      /^journal\.damaged-.*Z\.sqlite$/.test(name),
    );
    expect(kept.length).toBe(1);
    expect(second.output()).toContain(kept[0]);
    const path = join(data, 'simulated', kept[0] ?? '');
    expect(readFileSync(path).equals(bytes)).toBe(true);
    expect(readFileSync(`${path}-wal`).equals(wal)).toBe(true);

    const told = await statusOf(second, ({ alarms }) =>
      alarms.some(({ alarmId }) => alarmId === 'log-begun-anew'),
    );
    expect(told).toMatchObject({ cook: null, bags: [], heat: { granted: false } });
    const alarm = told.alarms.find(({ alarmId }) => alarmId === 'log-begun-anew');
    expect(alarm).toMatchObject({ priority: 'high' });
    expect(alarm?.detail).toContain('Food that is in the bath must be entered again');
    expect(alarm?.detail).toContain(kept[0]);

    // Nothing of the lost cook is gone on with until a person enters it.
    expect((await second.command({ kind: 'set-setpoint', setpointC: 70 })).status).not.toBe(200);
    const still = await statusOf(second, () => true);
    expect(still).toMatchObject({ cook: null, heat: { granted: false } });
    expect((await second.command(COOK)).status).toBe(200);
    expect((await second.command({ kind: 'bag-in', bag: NECK })).status).toBe(200);
    const held = await statusOf(second, ({ bags }) => bags.length === 1);
    expect(held).toMatchObject({ trip: { alarmId: 'log-begun-anew' }, heat: { granted: false } });
    const acknowledged = await second.command({ kind: 'acknowledge', alarmId: 'log-begun-anew' });
    expect(acknowledged.status).toBe(200);
    const looked = { kind: 'clear', alarmId: 'log-begun-anew', atBath: true } as const;
    expect((await second.command({ ...looked, atBath: false })).status).not.toBe(200);
    expect((await second.command(looked)).status).toBe(200);
    const again = await statusOf(second, ({ heat, bags }) => heat.granted && bags.length === 1);
    expect(again.cook?.cookId).toBe('hut-supper');
    const answer = await second.get('/api/cooks/hut-supper/export.json');
    const { samples } = (await answer.json()) as { samples: { sequence: number }[] };
    // Numbers that people may have seen in the lost log are not given out again.
    expect(samples[0]?.sequence).toBeGreaterThan(1_000_000);
    expect(await second.stop()).toBe(0);
  }, 120_000);
});

import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, describe, expect, it } from 'vitest';
import { type RunningController, startProcess, until } from './process.ts';

const folder = mkdtempSync(join(tmpdir(), 'bathkeeper-restart-'));
const started: RunningController[] = [];
const start = async (flags: string[] = []) => {
  const one = await startProcess(folder, ['--speed', '60', ...flags]);
  started.push(one);
  return one;
};
afterAll(async () => {
  for (const one of started) await one.kill();
  rmSync(folder, { recursive: true, force: true });
});

interface Exported {
  samples: { sequence: number }[];
  commands: { command: { id: string } }[];
  alarms: { alarmId: string; detail: string }[];
  events: { kind: string }[];
}

const exportOf = async (one: RunningController) =>
  (await (await one.get('/api/cooks/hut-supper/export.json')).json()) as Exported;

describe('a controller that is killed', () => {
  it('resumes the cook with no acknowledged command lost, and says how long it was away', async () => {
    const acknowledged: string[] = [];
    const first = await start();
    await first.pair();
    const give = async (one: RunningController, body: Parameters<RunningController['command']>[0]) => {
      const answer = await one.command(body);
      if (!answer.ok) return;
      acknowledged.push(((await answer.json()) as { id: string }).id);
    };
    await give(first, { kind: 'start-cook', cookId: 'hut-supper', name: 'Hut supper', setpointC: 68 });
    const bag = {
      label: 'Pork neck',
      cutId: 'pork-neck',
      beta: 0.7,
      thicknessMm: 70,
      massKg: 1.4,
      startC: 5,
    };
    await give(first, { kind: 'bag-in', bag: { ...bag, bagId: 'neck' } });
    await give(first, { kind: 'set-setpoint', setpointC: 70 });
    expect(acknowledged.length).toBe(3);
    await first.kill();

    const second = await start();
    await second.pair();
    await give(second, { kind: 'set-setpoint', setpointC: 71 });
    await until(async () => (await exportOf(second)).samples.length > 60, second.output);
    const exported = await exportOf(second);
    const ids = exported.commands.map(({ command }) => command.id);
    for (const id of acknowledged) expect(ids).toContain(id);
    const restarted = exported.alarms.find((alarm) => alarm.alarmId === 'controller-restarted');
    expect(restarted?.detail).toMatch(/was away for \d+ (s|min)/);
    const sequences = exported.samples.map((sample) => sample.sequence);
    expect(new Set(sequences).size).toBe(sequences.length);
    expect(await second.stop()).toBe(0);
  });

  it('keeps its log to itself: a second controller on the same folder says so and ends', async () => {
    const first = await start();
    await expect(startProcess(folder, ['--speed', '60'])).rejects.toThrow(
      /another process has this log open/i,
    );
    expect(await first.stop()).toBe(0);
  });
});

describe('a controller that cannot be started', () => {
  it('says that the port is in use, ends, and leaves its log free', async () => {
    const first = await start();
    const port = new URL(first.url).port;
    const other = mkdtempSync(join(tmpdir(), 'bathkeeper-port-'));
    await expect(startProcess(other, ['--port', port])).rejects.toThrow(/port of the page is in use/);
    const third = await startProcess(other, ['--speed', '60']);
    expect(await third.stop()).toBe(0);
    expect(await first.stop()).toBe(0);
    rmSync(other, { recursive: true, force: true });
  });

  it('takes no cook under an id that is in the log already', async () => {
    const one = await start();
    await one.pair();
    const answer = await one.command({
      kind: 'start-cook',
      cookId: 'hut-supper',
      name: 'Another',
      setpointC: 70,
    });
    expect([answer.status, await answer.text()]).toEqual([409, expect.stringContaining('cook-exists')]);
    expect(await one.stop()).toBe(0);
  });
});

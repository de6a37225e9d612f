import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { createServer } from 'node:http';
import type { AddressInfo } from 'node:net';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { replayVerb } from '../../controller/cli/replay.ts';
import type { ReplayReport } from '../../controller/replay.ts';
import type { ReachView } from '../../shared/wire/reach-view.ts';
import { type RunningController, startProcess, until } from './process.ts';

const folder = mkdtempSync(join(tmpdir(), 'bathkeeper-calls-'));
const config = join(folder, 'bathkeeper.json');
let controller: RunningController;
let url = '';
/** What the other end says: 410 is a flat refusal. */
let says = 204;
const calls: string[] = [];
const hook = createServer((request, response) => {
  let body = '';
  request.on('data', (chunk) => {
    body += chunk;
  });
  request.on('end', () => {
    calls.push(body);
    response.writeHead(says).end();
  });
});
const BAG = { label: 'Pork neck', cutId: 'pork-neck', beta: 0.7, thicknessMm: 70, massKg: 1.4, startC: 5 };

interface Exported {
  events: { kind: string; text: string; data: Record<string, unknown> }[];
  alarms: { alarmId: string; to: string; detail: string }[];
  commands: { command: { kind: string; by: string }; result: { accepted: boolean } }[];
}
const exported = async (): Promise<Exported> =>
  (await (await controller.get('/api/cooks/hut-supper/export.json')).json()) as Exported;
const reach = async (): Promise<ReachView> =>
  (await (await controller.get('/api/reach')).json()) as ReachView;
const post = (path: string, body: unknown, cookie = '') =>
  fetch(`${controller.url}${path}`, {
    method: 'POST',
    headers: { 'content-type': 'application/json', 'x-bathkeeper-client': 'test', cookie },
    body: JSON.stringify(body),
  });
const output = () => `${calls.join('\n')}\n${controller.output()}`;

beforeAll(async () => {
  await new Promise<void>((resolve) => hook.listen(0, '127.0.0.1', resolve));
  url = `http://127.0.0.1:${(hook.address() as AddressInfo).port}/call`;
  const secret = join(folder, 'secret');
  writeFileSync(secret, 'a secret of forty characters, no less at all');
  const webhook = { kind: 'webhook', url, secret: { file: secret } };
  writeFileSync(
    config,
    JSON.stringify({ reach: { people: [{ id: 'cook', name: 'The cook', channels: [webhook] }] } }),
  );
  controller = await startProcess(join(folder, 'data'), ['--config', config]);
  await controller.pair();
  await controller.command({ kind: 'start-cook', cookId: 'hut-supper', name: 'Hut supper', setpointC: 68 });
  await controller.command({ kind: 'bag-in', bag: { ...BAG, bagId: 'neck' } });
});
afterAll(async () => {
  await controller?.kill();
  hook.close();
  rmSync(folder, { recursive: true, force: true });
});

describe('calls of the running controller', () => {
  it('reach the person named in the configuration, and each delivery is in the record of the cook', async () => {
    await controller.plant({ kind: 'probe', probe: 'bath', fault: 'absent' });
    await until(() => calls.some((call) => call.includes('probe')), output);
    const view = JSON.stringify(await reach());
    expect(view).toContain('The cook');
    expect(view).not.toContain(url);
    await until(async () => (await exported()).events.some((event) => event.kind === 'delivery'), output);
    const delivery = (await exported()).events.find(
      ({ kind, data }) => kind === 'delivery' && (data.row as { about: string }).about === 'alarm',
    );
    expect(delivery?.data.row).toMatchObject({ person: 'The cook', outcome: 'accepted', attempt: 1 });
    expect(delivery?.text).not.toContain(url);
  });

  it('show the same delivery log after the mains were pulled', async () => {
    const before = (await reach()).log;
    expect(before.length).toBeGreaterThan(0);
    const rowsOnDisk = async () =>
      (await exported()).events.filter((event) => event.kind === 'delivery').length;
    await until(
      async () => (await rowsOnDisk()) >= before.filter((row) => row.about !== 'check').length,
      output,
    );
    await controller.kill();
    controller = await startProcess(join(folder, 'data'), ['--config', config]);
    await controller.pair();
    const after = (await reach()).log;
    expect(after.slice(0, before.length)).toEqual(before);
    expect(new Set(after.map((one) => one.row)).size).toBe(after.length);
  });

  it('count an answered test for leaving the cook alone, and take no mere claim', async () => {
    const claim = await controller.command({ kind: 'answer-alarm-test' });
    expect(claim.status).toBe(400);
    calls.length = 0;
    const cookie = await controller.pair('Second phone');
    expect((await post('/api/reach/test', { personId: 'cook' }, cookie)).status).toBe(200);
    await until(() => calls.some((call) => call.includes('"kind":"test"')), output);
    const sent = calls.find((call) => call.includes('"kind":"test"')) ?? '{}';
    const { code } = JSON.parse(sent) as { code: string };
    expect((await post('/api/reach/answer', { code })).status).toBe(200);
    const answers = async () =>
      (await exported()).commands.filter(({ command }) => command.kind === 'answer-alarm-test');
    await until(async () => (await answers()).length === 1, output);
    expect((await answers())[0]).toMatchObject({ command: { by: 'The cook' }, result: { accepted: true } });
    // The same code once more proves nothing.
    expect((await post('/api/reach/answer', { code })).status).toBe(404);
    expect((await answers()).length).toBe(1);
  });

  it('that fail are an alarm, by name and with what was seen', async () => {
    says = 410;
    const cookie = await controller.pair('Third phone');
    await until(async () => (await post('/api/reach/test', { personId: 'cook' }, cookie)).ok, output);
    const rang = async (id: string) =>
      (await exported()).alarms.find(({ alarmId, to }) => alarmId === id && to === 'unacknowledged');
    await until(async () => (await rang('channel-failing')) !== undefined, output);
    expect((await rang('channel-failing'))?.detail).toMatch(/Saw webhook .*410/);
  });
}, 120_000);

describe('a command that a page sends twice', () => {
  it('counts once, at once and over a restart, and gets the same answer', async () => {
    const fork = { kind: 'fork-test', id: 'fork-once', bagId: 'neck', answer: 'not-yet' } as const;
    const [first, second] = await Promise.all([controller.command(fork), controller.command(fork)]);
    const answer = await first.json();
    expect(answer).toMatchObject({ id: 'fork-once', accepted: true });
    expect(await second.json()).toEqual(answer);
    await controller.kill();
    controller = await startProcess(join(folder, 'data'), ['--config', config]);
    await controller.pair();
    expect(await (await controller.command(fork)).json()).toEqual(answer);
    const tests = (await exported()).commands.filter(({ command }) => command.kind === 'fork-test');
    expect(tests.length).toBe(1);
    const other = await controller.command({ ...fork, answer: 'ready' });
    expect(other.status).toBe(409);
  });
}, 60_000);

describe('the record with calls, an answered test, a shelf and repeated commands in it', () => {
  it('replays bit for bit, over every restart', async () => {
    const shelf = {
      alarmId: 'channel-failing',
      minutes: 10,
      reason: 'the valley has no power',
      confirmed: true,
    };
    expect((await controller.command({ kind: 'shelve', ...shelf })).status).toBe(200);
    expect(await controller.stop()).toBe(0);
    const printed: string[] = [];
    const take = (text: string) => void printed.push(text);
    const argv = ['hut-supper', '--json', '--data', join(folder, 'data')];
    const code = await replayVerb(argv, { out: take, err: take });
    expect(code, printed.join('')).toBe(0);
    const report = JSON.parse(printed.join('')) as ReplayReport;
    expect(report.shown).toEqual([]);
    expect(report).toMatchObject({ differences: 0, missing: 0 });
    expect(report.ticks).toBeGreaterThan(10);
  });
}, 60_000);

import { execFile } from 'node:child_process';
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { createServer } from 'node:http';
import type { AddressInfo } from 'node:net';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { promisify } from 'node:util';
import { afterAll, describe, expect, it } from 'vitest';
import type { Known } from '../../shared/plan/form.ts';
import type { RigAnswer } from '../../shared/plan/rig.ts';
import type { BoxTakes } from '../../shared/plan/room.ts';
import { plannedBags, startFromPlan } from '../../shared/plan/start.ts';
import type { PlanForm, PlanOutlook, PlanSummary, StoredPlan } from '../../shared/wire/plan.ts';
import type { Message } from '../../shared/wire/reach-view.ts';
import { type RunningController, startProcess, until } from './process.ts';

const folder = mkdtempSync(join(tmpdir(), 'bathkeeper-plans-'));
let controller: RunningController | null = null;
afterAll(async () => {
  await controller?.kill();
  rmSync(folder, { recursive: true, force: true });
});

/** Dinner a day after now, by the controller's own clock. */
const formAt = (nowMs: number): PlanForm => ({
  name: 'Hut supper',
  serveBy: new Date(nowMs + 24 * 3.6e6).toISOString(),
  zone: 'UTC',
  bathC: 74,
  night: null,
  dishes: [{ cut: 'pork neck', massKg: 1.4, thicknessMm: 70, cure: null }],
});

async function putPlan(running: RunningController, cookie: string, form: PlanForm) {
  const headers = { 'content-type': 'application/json', 'x-bathkeeper-client': 'test', cookie };
  return fetch(`${running.url}/api/plans/supper`, {
    method: 'PUT',
    headers,
    body: JSON.stringify({ form }),
  });
}

const json = async <T>(response: Promise<Response>): Promise<T> => (await response).json() as Promise<T>;

describe('a plan in the running controller', () => {
  it('becomes a cook by one command, is forecast anew from the real bath, and teaches what the rig can do', async () => {
    controller = await startProcess(folder, ['--speed', '600']);
    const running = controller;
    const cookie = await running.pair();
    const before = await json<Known>(running.get('/api/plans/known'));
    expect(before.rig.kind).toBe('described');
    const stored = (await (await putPlan(running, cookie, formAt(before.nowMs))).json()) as StoredPlan;
    const order = startFromPlan(stored, { id: 'start', cookId: 'hut-supper' });
    expect((await running.command(order)).status).toBe(200);
    const listed = async () => (await json<{ plans: PlanSummary[] }>(running.get('/api/plans'))).plans[0];
    await until(async () => (await listed())?.cookId === 'hut-supper', running.output);

    // The bath heats by itself; the bag goes in once the plan's own figures say that it is hot.
    const outlook = () => json<PlanOutlook | null>(running.get('/api/plans/supper/outlook'));
    const hot = async () =>
      (await outlook())?.plan.steps.find((step) => step.kind === 'bath-hot')?.done === true;
    await until(hot, running.output);
    const [{ cure: _cure, ...bag }] = plannedBags(stored) as [ReturnType<typeof plannedBags>[0]];
    expect((await running.command({ kind: 'bag-in', bag })).status).toBe(200);
    const foodIn = async () =>
      (await outlook())?.plan.steps.find((step) => step.kind === 'food-in')?.done === true;
    await until(foodIn, running.output);
    const now = (await outlook())!;
    expect(now.note).toBeNull();
    expect(now.plan.status).toBe('odds-met');

    await until(
      async () => (await json<Known>(running.get('/api/plans/known'))).rig.kind === 'identified',
      running.output,
    );
    const answer = await json<RigAnswer & { bags: BoxTakes }>(
      running.get('/api/plans/rig?bathC=74&hours=12&bagKg=2'),
    );
    expect(answer.kind).toBe('identified');
    // The demo's rig: 21 L and 1 kW take 1.5 h and a little from 12 C (energy balance: 21 kg x 4.18 kJ/kg K x 62 K / 1 kW = 91 min, losses besides).
    expect(answer.lidOn.heatUpMiddleS! / 60).toBeGreaterThan(85);
    expect(answer.lidOn.heatUpMiddleS! / 60).toBeLessThan(125);
    expect(answer.bags.mostBagsCount).toBeGreaterThan(1);

    // The record names the plan and what was planned to go in.
    const record = await (await running.get('/api/cooks/hut-supper/export.json')).text();
    expect(record).toContain('"planId":"supper"');

    await running.stop();
    const run = promisify(execFile);
    const args = ['plan', '--box', '--rig', 'simulated', '--data', folder, '--bath', '74C', '--json'];
    const { stdout } = await run(process.execPath, ['dist/controller/cli/bathkeeper.js', ...args]);
    const offline = JSON.parse(stdout) as RigAnswer;
    expect(offline.kind).toBe('identified');
    expect(offline.lidOn.heatUpMiddleS! / answer.lidOn.heatUpMiddleS!).toBeGreaterThan(0.85);
    expect(offline.lidOn.heatUpMiddleS! / answer.lidOn.heatUpMiddleS!).toBeLessThan(1.15);
  });

  it('reminds the person in the configuration that it is time to salt, as a reminder and no alarm', async () => {
    const messages: Message[] = [];
    const hook = createServer((request, response) => {
      let body = '';
      request.on('data', (chunk) => {
        body += chunk;
      });
      request.on('end', () => {
        messages.push(JSON.parse(body) as Message);
        response.writeHead(204).end();
      });
    });
    await new Promise<void>((resolve) => hook.listen(0, '127.0.0.1', resolve));
    const url = `http://127.0.0.1:${(hook.address() as AddressInfo).port}/call`;
    const [config, secret] = [join(folder, 'reach.json'), join(folder, 'secret')];
    writeFileSync(secret, 'a secret of forty characters, no less at all');
    const webhook = { kind: 'webhook', url, secret: { file: secret } };
    const reach = { people: [{ id: 'cook', name: 'The cook', channels: [webhook] }] };
    writeFileSync(config, JSON.stringify({ reach }));
    const other = await startProcess(join(folder, 'reminded'), ['--config', config]);
    try {
      const cookie = await other.pair();
      const { nowMs } = await json<Known>(other.get('/api/plans/known'));
      // Salt for so long that it has to begin at once.
      const cure = { wantedS: 20 * 3600 };
      const form = { ...formAt(nowMs), dishes: [{ ...formAt(nowMs).dishes[0]!, cure }] };
      const stored = (await (await putPlan(other, cookie, form)).json()) as StoredPlan;
      const salt = stored.plan.steps.find((step) => step.kind === 'cure')!;
      expect(salt.atMs - nowMs).toBeLessThan(60_000);
      await until(() => messages.length > 0, other.output);
      expect(messages[0]).toMatchObject({ kind: 'reminder', priority: 'low', person: { id: 'cook' } });
      expect(messages[0]!.text).toContain(salt.title);
      // What was sent is written down once it has gone out, so a moment after it arrives here.
      const reminded = async () => (await json<StoredPlan>(other.get('/api/plans/supper'))).reminded;
      await until(async () => (await reminded()).length > 0, other.output);
      expect(await reminded()).toHaveLength(1);
      expect(messages).toHaveLength(1);
    } finally {
      await other.kill();
      hook.close();
    }
  });
});

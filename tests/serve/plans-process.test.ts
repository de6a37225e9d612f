import { execFile } from 'node:child_process';
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { promisify } from 'node:util';
import { afterAll, describe, expect, it } from 'vitest';
import type { Known } from '../../shared/plan/form.ts';
import type { RigAnswer } from '../../shared/plan/rig.ts';
import type { BoxTakes } from '../../shared/plan/room.ts';
import { plannedBags, startFromPlan } from '../../shared/plan/start.ts';
import type { PlanForm, PlanOutlook, PlanSummary, StoredPlan } from '../../shared/wire/plan.ts';
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

    await running.stop();
    const run = promisify(execFile);
    const args = ['plan', '--box', '--rig', 'simulated', '--data', folder, '--bath', '74C', '--json'];
    const { stdout } = await run(process.execPath, ['dist/controller/cli/bathkeeper.js', ...args]);
    const offline = JSON.parse(stdout) as RigAnswer;
    expect(offline.kind).toBe('identified');
    expect(offline.lidOn.heatUpMiddleS! / answer.lidOn.heatUpMiddleS!).toBeGreaterThan(0.85);
    expect(offline.lidOn.heatUpMiddleS! / answer.lidOn.heatUpMiddleS!).toBeLessThan(1.15);
  });
});

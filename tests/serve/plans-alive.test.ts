import { afterEach, describe, expect, it } from 'vitest';
import type { Plan } from '../../shared/plan/types.ts';
import type { PlanOutlook } from '../../shared/wire/plan.ts';
import type { BagView } from '../../shared/wire/status.ts';
import { FakeHub, statusAt } from './fake-hub.ts';
import { LAMB, type PlanBed, planBed } from './plan-desk.ts';
import { bagIn, H_MS, heating, Supper } from './plan-supper.ts';

let open: PlanBed | null = null;
afterEach(async () => {
  await open?.close();
  open = null;
});

describe('the plan of a running cook', () => {
  it('is tied to its cook, forecast anew from the water, and given to every phone', async () => {
    open = await planBed();
    const supper = await Supper.kept(open);
    expect(await supper.outlook()).toBeNull();
    supper.begin();
    const inMs = supper.step('food-in');
    await supper.run(supper.step('bath-on'), inMs, heating(supper));
    bagIn(supper, inMs);
    await supper.run(inMs, inMs + 4 * H_MS, heating(supper));
    expect(open.desk.book.get('supper').cookId).toBe('c1');
    const now = (await supper.outlook())!;
    expect(now).toMatchObject({ planId: 'supper', cookId: 'c1', note: null, atMs: inMs + 4 * H_MS });
    expect(now.changes).toEqual([]);
    const [was, is] = [supper.plan, now.plan as unknown as Plan].map((plan) => plan.dishes[0]!.ready.p50Ms!);
    expect(Math.abs(is! - was!)).toBeLessThan(10 * 60_000);
    expect(now.plan.steps.find((step) => step.kind === 'food-in')!.done).toBe(true);
  });

  it('moves with a power cut, and says what was seen and until when the water holds', async () => {
    open = await planBed();
    const supper = await Supper.kept(open);
    supper.begin();
    const inMs = supper.step('food-in');
    await supper.run(supper.step('bath-on'), inMs, heating(supper));
    bagIn(supper, inMs);
    const cutMs = inMs + 2 * H_MS;
    const fall = (ms: number) => Math.max(0, (6 * (ms - cutMs)) / (40 * 60_000));
    await supper.run(inMs, cutMs + 40 * 60_000, heating(supper, fall));
    const stopped = { ...statusAt(1, 0, null).heat, stopped: true };
    supper.at.real.ms += 5000;
    supper.tell(cutMs + 41 * 60_000, 68, false, { heat: stopped });
    await open.desk.follower.settled();
    const cut = (await supper.outlook())!;
    expect(cut.changes.map((one) => one.kind)).toEqual(expect.arrayContaining(['heat-lost', 'no-heat']));
    expect(cut.changes.find((one) => one.kind === 'no-heat')!.words).toMatch(/passes 60\.0 C at about/);
  });

  it('is forecast at most once a minute, but at once after a fork test', async () => {
    open = await planBed();
    const supper = await Supper.kept(open);
    supper.begin();
    const inMs = supper.step('food-in');
    await supper.run(supper.step('bath-on'), inMs, heating(supper));
    bagIn(supper, inMs);
    const nowMs = inMs + 9 * H_MS;
    await supper.run(inMs, nowMs, heating(supper));
    const before = (await supper.outlook())!;
    for (let s = 1; s < 60; s += 7) {
      open.real.ms += 7000;
      supper.tell(nowMs + s * 1000, 74);
      await open.desk.follower.settled();
      expect((await supper.outlook())!.atMs).toBe(before.atMs);
    }
    const [bag] = supper.bags;
    const forkTests = [{ atMs: nowMs + 58_000, answer: 'not-yet' as const, by: 'cook' }];
    supper.bags = [{ ...bag!, tender: { forkTests } as unknown as NonNullable<BagView['tender']> }];
    open.real.ms += 7000;
    supper.tell(nowMs + 59_000, 74);
    await open.desk.follower.settled();
    const after = (await supper.outlook())!;
    expect(after.atMs).toBe(nowMs + 59_000);
    expect(after.changes.map((one) => one.kind)).toEqual(['fork-test']);
    expect(after.plan.oddsFraction).toBeLessThan(before.plan.oddsFraction);
  });

  it('answers a moved dinner with going on, holding, slowing down and chilling, each with texture and safety', async () => {
    open = await planBed();
    const supper = await Supper.kept(open);
    supper.begin();
    const inMs = supper.step('food-in');
    await supper.run(supper.step('bath-on'), inMs, heating(supper));
    bagIn(supper, inMs);
    await supper.run(inMs, inMs + 10 * H_MS, heating(supper));
    const later = new Date(supper.plan.serveByMs + 6 * H_MS).toISOString();
    const tried = (await supper.outlook(`?serveBy=${encodeURIComponent(later)}`))!;
    expect(tried.options.map((one) => one.id)).toEqual(
      expect.arrayContaining(['go-on', 'hold', 'slow-down', 'chill']),
    );
    for (const one of tried.options) {
      expect(one.texture).not.toBe('');
      expect(one.safety).not.toBe('');
    }
    // Only asked: nothing moved.
    expect((await supper.outlook())!.serveByMs).toBe(supper.plan.serveByMs);
    expect(
      (
        await supper.at.bed.ask({
          method: 'PUT',
          path: '/api/plans/supper/move',
          headers: { origin: open.bed.origin, 'content-type': 'application/json' },
          body: JSON.stringify({ serveBy: later }),
        })
      ).status,
    ).toBe(401);
    const moved = (await supper.put('/api/plans/supper/move', { serveBy: later })).json<PlanOutlook>();
    expect(moved.changes.map((one) => one.kind)).toEqual(['dinner-moved']);
    expect((await supper.outlook())!.serveByMs).toBe(supper.plan.serveByMs + 6 * H_MS);
    expect(open.desk.book.get('supper').movedToMs).toBe(supper.plan.serveByMs + 6 * H_MS);
    const past = new Date(supper.plan.madeAtMs - H_MS).toISOString();
    const refused = await supper.put('/api/plans/supper/move', { serveBy: past });
    expect(refused.json<{ error: { code: string } }>().error.code).toBe('plan-refused');
  });

  it('cannot be changed or deleted under the cook', async () => {
    open = await planBed();
    const supper = await Supper.kept(open);
    supper.begin();
    await open.desk.follower.settled();
    await expect.poll(() => open!.desk.book.get('supper').cookId).toBe('c1');
    const change = await open.put('supper', { ...LAMB, serveBy: '2026-11-27 21:00' }, supper.cookie, 1);
    expect(change.json<{ error: { code: string } }>().error.code).toBe('plan-running');
  });

  it('is forecast with a doubt about its times while the clock is not known to be set', async () => {
    open = await planBed();
    const supper = await Supper.kept(open);
    supper.begin();
    await supper.run(supper.step('bath-on'), supper.step('bath-on') + 5 * 60_000, heating(supper));
    supper.at.real.ms += 5000;
    supper.tell(supper.step('bath-on') + 20 * 60_000, 30, false, { wallTrusted: false });
    await open.desk.follower.settled();
    expect((await supper.outlook())!.note).toMatch(/clock .* is not known to be set/);
  });

  it('goes on after a restart with the water that the log has', async () => {
    open = await planBed();
    const supper = await Supper.kept(open);
    supper.begin();
    await expect.poll(() => open!.desk.book.get('supper').cookId).toBe('c1');
    // The same hub and log, another run: it knows the cook from the status alone.
    const hub = new FakeHub(open.bed.hub.journal);
    hub.wallMs = supper.step('bath-on');
    hub.startCook('c1');
    hub.tick(1800);
    const again = await planBed(hub, open.folder);
    again.real.ms = 10_000;
    hub.commit(1);
    await expect
      .poll(() => again.desk.follower.outlook('supper')?.cookId ?? null, { timeout: 30_000 })
      .toBe('c1')
      .catch(() => {});
    again.real.ms = 20_000;
    hub.wallMs += 61_000;
    hub.commit(1);
    await expect
      .poll(() => again.desk.follower.outlook('supper')?.note ?? null, { timeout: 30_000 })
      .toBeNull();
    const outlook = again.desk.follower.outlook('supper')!;
    // Half an hour of water from before the restart is in it: the bath counts as hot since then, not as cold.
    expect(outlook.plan.steps.find((step) => step.kind === 'bath-on')!.done).toBe(true);
    await again.close();
  });
});

import { afterEach, describe, expect, it } from 'vitest';
import { wholePlan } from '../../shared/plan/form.ts';
import { plannedBags } from '../../shared/plan/start.ts';
import type { Plan } from '../../shared/plan/types.ts';
import type { PlanOutlook, StoredPlan } from '../../shared/wire/plan.ts';
import type { Sample } from '../../shared/wire/rows.ts';
import type { BagView, Status } from '../../shared/wire/status.ts';
import { bagViewFixture } from './bag-view.ts';
import { FakeHub, statusAt } from './fake-hub.ts';
import { LAMB, type PlanBed, planBed } from './plan-desk.ts';

const H_MS = 3.6e6;
let open: PlanBed | null = null;
afterEach(async () => {
  await open?.close();
  open = null;
});

/** A cook as the controller would report it, at any moment the test likes. */
class Supper {
  readonly at: PlanBed;
  readonly plan: Plan;
  readonly cookie: string;
  bags: BagView[] = [];
  #sequence = 1;

  private constructor(at: PlanBed, plan: Plan, cookie: string) {
    this.at = at;
    this.plan = plan;
    this.cookie = cookie;
  }

  static async kept(at: PlanBed): Promise<Supper> {
    const cookie = await at.bed.pair();
    const stored = (await at.put('supper', LAMB, cookie)).json<StoredPlan>();
    return new Supper(at, wholePlan(stored), cookie);
  }

  step(kind: string): number {
    return this.plan.steps.find((one) => one.kind === kind)!.atMs;
  }

  /** One commit at a moment, with the water as it is then. */
  tell(wallMs: number, bathC: number, started = false, more: Partial<Status> = {}): void {
    const hub = this.at.bed.hub;
    hub.wallMs = wallMs;
    this.#sequence += 1;
    const sequence = this.#sequence;
    const sample: Sample = { sequence, wallMs, bathC, setpointC: 74, duty: 0.3, bags: [] };
    const data = { plan: { planId: 'supper' } };
    const event = { sequence, wallMs, cookId: 'c1', kind: 'cook-started', text: '', data };
    const status: Status = {
      ...statusAt(sequence, wallMs, hub.cook),
      setpointC: 74,
      bags: this.bags,
      alarms: [],
      ...more,
    };
    hub.tell({ samples: [sample], events: started ? [event] : [], status, throughSequence: sequence });
  }

  begin(): void {
    const onMs = this.step('bath-on');
    this.at.bed.hub.wallMs = onMs;
    this.at.bed.hub.startCook('c1');
    this.tell(onMs, 12, true);
  }

  /** Runs from one moment to another, a commit every minute, and lets the forecasts finish. */
  async run(fromMs: number, toMs: number, waterC: (ms: number) => number): Promise<void> {
    for (let ms = fromMs; ms <= toMs; ms += 60_000) {
      this.at.real.ms += 5000;
      this.tell(ms, waterC(ms));
      if ((ms - fromMs) % H_MS === 0) await this.at.desk.follower.settled();
    }
    await this.at.desk.follower.settled();
    this.at.real.ms += 5000;
    this.tell(toMs, waterC(toMs), false);
    await this.at.desk.follower.settled();
  }

  async outlook(query = ''): Promise<PlanOutlook | null> {
    return (await this.at.bed.ask({ path: `/api/plans/supper/outlook${query}` })).json();
  }

  put(path: string, body: unknown) {
    const headers = {
      origin: this.at.bed.origin,
      'content-type': 'application/json',
      cookie: this.cookie,
    };
    return this.at.bed.ask({ method: 'PUT', path, headers, body: JSON.stringify(body) });
  }
}

/** The bath in a straight line to its setpoint by the time foreseen, `away` taken off. */
const heating =
  (supper: Supper, away = (_ms: number) => 0) =>
  (ms: number) => {
    const [onMs, hotMs] = [supper.step('bath-on'), supper.step('bath-hot')];
    return Math.min(74, 12 + (62 * (ms - onMs)) / (hotMs - onMs)) - away(ms);
  };

function bagIn(
  supper: Supper,
  inAtMs: number,
  bagId = plannedBags({ plan: supper.plan as never })[0]!.bagId,
) {
  supper.bags = [bagViewFixture({ bagId, cutId: 'lamb-shoulder', inAtMs })];
}

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

  it('stands as it was, with the reason, while the clock is not set', async () => {
    open = await planBed();
    const supper = await Supper.kept(open);
    supper.begin();
    await supper.run(supper.step('bath-on'), supper.step('bath-on') + 5 * 60_000, heating(supper));
    supper.at.real.ms += 5000;
    supper.tell(supper.step('bath-on') + 20 * 60_000, 30, false, { wallTrusted: false });
    await open.desk.follower.settled();
    expect((await supper.outlook())!.note).toMatch(/clock .* is not set/);
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
      .poll(() => again.desk.follower.outlook('supper')?.cookId ?? null, { timeout: 5000 })
      .toBe('c1')
      .catch(() => {});
    again.real.ms = 20_000;
    hub.wallMs += 61_000;
    hub.commit(1);
    await expect
      .poll(() => again.desk.follower.outlook('supper')?.note ?? null, { timeout: 5000 })
      .toBeNull();
    const outlook = again.desk.follower.outlook('supper')!;
    // Half an hour of water from before the restart is in it: the bath counts as hot since then, not as cold.
    expect(outlook.plan.steps.find((step) => step.kind === 'bath-on')!.done).toBe(true);
    await again.close();
  });
});

describe('reminders', () => {
  it('tell of salting before any cook runs, once, and not in the night', async () => {
    open = await planBed();
    const supper = await Supper.kept(open);
    const cure = supper.plan.reminders.find((one) => one.stepId.startsWith('cure'))!;
    supper.tell(cure.atMs - 60_000, 20, false);
    expect(open.nudges).toEqual([]);
    for (let s = 0; s < 5; s += 1) supper.tell(cure.atMs + s * 1000, 20, false);
    expect(open.nudges).toHaveLength(1);
    expect(open.nudges[0]!.title).toMatch(/Salt Lamb/);
    expect(open.nudges[0]!.text).toMatch(/Why:/);
    await expect.poll(() => open!.desk.book.get('supper').reminded).toEqual([`${cure.stepId}@${cure.atMs}`]);
    const again = await planBed(new FakeHub(), open.folder);
    again.bed.hub.wallMs = cure.atMs + 10_000;
    again.bed.hub.commit();
    expect(again.nudges).toEqual([]);
    await again.close();
    const night = supper.plan.reminders.filter((one) => {
      const hour = new Date(one.atMs).getUTCHours() + 1;
      return hour >= 22 || hour < 6;
    });
    for (const one of night) expect(one.nightNeeded).toBe(true);
  });

  it('of a step long past are left out', async () => {
    open = await planBed();
    const supper = await Supper.kept(open);
    const cure = supper.plan.reminders.find((one) => one.stepId.startsWith('cure'))!;
    supper.tell(cure.atMs + 3 * H_MS, 20, false);
    expect(open.nudges).toEqual([]);
  });

  it('follow the forecast while the cook runs', async () => {
    open = await planBed();
    const supper = await Supper.kept(open);
    supper.begin();
    const inMs = supper.step('food-in');
    await supper.run(supper.step('bath-on'), inMs, heating(supper));
    bagIn(supper, inMs + 60_000);
    const testMs = supper.step('fork-test');
    await supper.run(inMs + 60_000, testMs + 5 * 60_000, heating(supper));
    const titles = open.nudges.map((one) => one.title);
    expect(titles.filter((title) => /fork test/i.test(title))).toHaveLength(1);
    expect(titles.some((title) => /Food in/.test(title))).toBe(true);
  });
});

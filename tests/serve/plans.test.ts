import { readdirSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { afterEach, describe, expect, it } from 'vitest';
import { askedOf, wholePlan } from '../../shared/plan/form.ts';
import { planBackwards } from '../../shared/plan/plan.ts';
import { plannedBags, startFromPlan } from '../../shared/plan/start.ts';
import { commandSchema } from '../../shared/wire/command.ts';
import { MOST_PLANS, type PlanSummary, type StoredPlan } from '../../shared/wire/plan.ts';
import { FakeHub } from './fake-hub.ts';
import { LAMB, type PlanBed, planBed } from './plan-desk.ts';

let open: PlanBed | null = null;
afterEach(async () => {
  await open?.close();
  open = null;
});

const codeOf = (answer: { json<T>(): T }) => answer.json<{ error: { code: string; detail: string } }>().error;

describe('a plan kept by one phone', () => {
  it('is computed by the server, seen by every phone, and kept through a restart', async () => {
    open = await planBed();
    const cookie = await open.bed.pair();
    const put = await open.put('supper', LAMB, cookie);
    expect(put.status).toBe(200);
    const stored = put.json<StoredPlan>();
    expect(stored).toMatchObject({ planId: 'supper', revision: 1, by: 'Kitchen phone', cookId: null });
    expect(stored.form).toEqual(LAMB);
    const here = planBackwards(askedOf(LAMB, { ...open.desk.known(), nowMs: stored.madeAtMs }));
    expect(JSON.stringify(stored.plan)).toBe(JSON.stringify(here));

    const other = await open.bed.ask({ path: '/api/plans' });
    expect(other.json<{ plans: PlanSummary[] }>().plans).toEqual([
      expect.objectContaining({ planId: 'supper', name: 'Supper for eight', serveByMs: here.serveByMs }),
    ]);
    const { folder } = open;
    await open.bed.close();
    const again = await planBed(new FakeHub(), folder);
    expect((await again.bed.ask({ path: '/api/plans/supper' })).json()).toEqual(stored);
    await again.close();
  });

  it('is changed only from the revision that was seen, and only by a paired phone', async () => {
    open = await planBed();
    const cookie = await open.bed.pair();
    expect(codeOf(await open.put('supper', LAMB, '')).code).toBe('not-paired');
    await open.put('supper', LAMB, cookie);
    const later = { ...LAMB, serveBy: '2026-11-27 20:00' };
    expect(codeOf(await open.put('supper', later, cookie)).code).toBe('plan-changed');
    expect((await open.put('supper', later, cookie, 1)).json<StoredPlan>().revision).toBe(2);
    expect(codeOf(await open.put('supper', LAMB, cookie, 1)).code).toBe('plan-changed');
    const gone = await open.bed.ask({
      method: 'DELETE',
      path: '/api/plans/supper',
      headers: { origin: open.bed.origin },
    });
    expect(codeOf(gone).code).toBe('not-paired');
    const deleted = await open.bed.ask({
      method: 'DELETE',
      path: '/api/plans/supper',
      headers: { origin: open.bed.origin, cookie },
    });
    expect(deleted.json()).toEqual({ deleted: true });
    expect(codeOf(await open.bed.ask({ path: '/api/plans/supper' })).code).toBe('plan-unknown');
    expect(readdirSync(join(open.folder, 'plans'))).toEqual([]);
  });

  it('is refused with every fault named where it cannot be asked for', async () => {
    open = await planBed();
    const cookie = await open.bed.pair();
    const past = await open.put('supper', { ...LAMB, serveBy: '2026-11-20 19:30' }, cookie);
    expect(past.status).toBe(400);
    expect(codeOf(past)).toMatchObject({ code: 'plan-refused' });
    expect(codeOf(past).detail).toMatch(/has passed/);
    const two = { ...LAMB, oddsFraction: 0.2, dishes: [{ cut: 'unicorn', massKg: 1 }] };
    const { detail } = codeOf(await open.put('supper', two, cookie));
    expect(detail).toMatch(/unicorn/);
    expect(detail).toMatch(/odds/);
    const form = codeOf(await open.put('supper', { ...LAMB, dishes: [] }, cookie));
    expect(form).toMatchObject({ code: 'bad-request', detail: expect.stringMatching(/dishes/) });
    expect(open.desk.book.list()).toEqual([]);
  });

  it('makes room by forgetting the oldest that is over, never one still to come', async () => {
    open = await planBed();
    const cookie = await open.bed.pair();
    const { id, ...first } = { id: 'p0', ...LAMB };
    await open.put(id, first, cookie);
    const [only] = open.desk.book.all();
    for (let i = 1; i < MOST_PLANS; i += 1) {
      writeFileSync(join(open.folder, 'plans', `p${i}.json`), JSON.stringify({ ...only, planId: `p${i}` }));
    }
    const { folder } = open;
    const full = await planBed(new FakeHub(), folder);
    const phone = await full.bed.pair();
    expect(codeOf(await full.put('one-more', LAMB, phone)).code).toBe('too-many-plans');
    full.bed.hub.wallMs = only!.plan.serveByMs + 13 * 3600_000;
    full.bed.hub.commit();
    const next = { ...LAMB, serveBy: '2026-11-29 19:30' };
    expect((await full.put('one-more', next, phone)).status).toBe(200);
    expect(full.desk.book.list()).toHaveLength(MOST_PLANS);
    await full.close();
  });

  it('costs one plan where its file is torn, and tells so', async () => {
    open = await planBed();
    const cookie = await open.bed.pair();
    await open.put('supper', LAMB, cookie);
    writeFileSync(join(open.folder, 'plans', 'torn.json'), '{"planId":"torn","rev');
    const again = await planBed(new FakeHub(), open.folder);
    expect(again.desk.book.list().map(({ planId }) => planId)).toEqual(['supper']);
    expect(again.log.join()).toMatch(/torn\.json\.unreadable/);
    await again.close();
  });
});

describe('a cook begun from a plan', () => {
  it('is asked for by one command with setpoint, bags and the id of the plan', async () => {
    open = await planBed();
    const cookie = await open.bed.pair();
    const form = { ...LAMB, dishes: [{ cut: 'lamb shoulder', massKg: 4, piecesCount: 2, thicknessMm: 70 }] };
    const stored = (await open.put('supper', form, cookie)).json<StoredPlan>();
    const order = startFromPlan(stored, { id: 'c1', cookId: 'hut-supper' });
    const command = commandSchema.parse({ ...order, by: 'x' });
    expect(command).toMatchObject({
      kind: 'start-cook',
      setpointC: 74,
      name: 'Supper for eight',
      plan: { planId: 'supper', serveByMs: wholePlan(stored).serveByMs },
    });
    const bags = plannedBags(stored);
    expect(bags).toHaveLength(2);
    expect(bags[0]).toMatchObject({
      cutId: 'lamb-shoulder',
      thicknessMm: 70,
      massKg: 2,
      startC: 4,
      cure: { method: 'equilibrium', saltPercent: 1.5 },
    });
    expect(bags.map(({ bagId }) => bagId)).toEqual(wholePlan(stored).dishes[0]!.bagIds);
    const answer = await open.bed.post('/api/command', order, cookie);
    expect(answer.json()).toMatchObject({ accepted: true });
    expect(open.bed.hub.submitted.at(-1)).toMatchObject({ plan: { planId: 'supper', bags } });
  });

  it('cannot be asked for from a plan that is not safe', async () => {
    open = await planBed();
    const cookie = await open.bed.pair();
    const form = {
      ...LAMB,
      bathC: 55,
      dishes: [{ cut: 'lamb shoulder', massKg: 8, piecesCount: 1, thicknessMm: 180 }],
    };
    const stored = (await open.put('supper', form, cookie)).json<StoredPlan>();
    expect(stored.plan.status).toBe('not-safe');
    expect(() => startFromPlan(stored, { id: 'c1', cookId: 'x' })).toThrow(/cannot be begun/);
  });
});

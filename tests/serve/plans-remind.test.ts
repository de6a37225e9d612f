import { afterEach, describe, expect, it } from 'vitest';
import { FakeHub } from './fake-hub.ts';
import { type PlanBed, planBed } from './plan-desk.ts';
import { bagIn, H_MS, heating, Supper } from './plan-supper.ts';

let open: PlanBed | null = null;
afterEach(async () => {
  await open?.close();
  open = null;
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
    expect(open.nudges[0]!.title).toMatch(/Salt lamb shoulder: 30 g/);
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

import { afterEach, describe, expect, it } from 'vitest';
import { openPlanner, type Planner } from '../../controller/serve/plans/planner.ts';
import { planBackwards } from '../../shared/plan/plan.ts';
import { BathkeeperError } from '../../shared/wire/errors.ts';
import { lambJob } from '../physics/plan-jobs.ts';

let planner: Planner | null = null;
const log: string[] = [];
afterEach(async () => {
  await planner?.close();
  planner = null;
});
const opened = (): Planner => {
  planner = openPlanner((line) => log.push(line));
  return planner;
};
const codeOf = (ask: Promise<unknown>) =>
  ask.then(
    () => 'no error',
    (error: unknown) => (error instanceof BathkeeperError ? error.code : String(error)),
  );

describe('the planner beside the loop', () => {
  it('gives the plan that the same code gives here', async () => {
    const asked = lambJob();
    expect(await opened().plan(asked)).toEqual(planBackwards(asked));
  });

  it('leaves the loop free while it plans', async () => {
    const busy = opened();
    let turns = 0;
    const timer = setInterval(() => {
      turns += 1;
    }, 5);
    await Promise.all(Array.from({ length: 6 }, () => busy.plan(lambJob())));
    clearInterval(timer);
    expect(turns).toBeGreaterThan(6);
  });

  it('refuses a faulty job with each fault on its own line, and goes on', async () => {
    const one = opened();
    const bad = lambJob({ oddsFraction: 2, dishes: [{ cut: 'unicorn' }] });
    await expect(one.plan(bad)).rejects.toMatchObject({
      code: 'plan-refused',
      detail: expect.stringMatching(/odds wanted is 2.*\n.*unicorn/),
    });
    expect((await one.plan(lambJob())).status).toBe('odds-met');
  });

  it('lets no more than eight reckonings wait', async () => {
    const one = opened();
    const asked = Array.from({ length: 12 }, () => codeOf(one.plan(lambJob())));
    const codes = await Promise.all(asked);
    expect(codes.filter((code) => code === 'too-many-requests')).toHaveLength(4);
    expect(codes.filter((code) => code === 'no error')).toHaveLength(8);
  });

  it('answers whoever waits when it is closed', async () => {
    const one = opened();
    const waiting = codeOf(one.plan(lambJob()));
    await one.close();
    expect(await waiting).toBe('not-answering');
  });
});

import { wholePlan } from '../../shared/plan/form.ts';
import { plannedBags } from '../../shared/plan/start.ts';
import type { Plan } from '../../shared/plan/types.ts';
import type { PlanOutlook, StoredPlan } from '../../shared/wire/plan.ts';
import type { Sample } from '../../shared/wire/rows.ts';
import type { BagView, Status } from '../../shared/wire/status.ts';
import { bagViewFixture } from './bag-view.ts';
import { statusAt } from './fake-hub.ts';
import { LAMB, type PlanBed } from './plan-desk.ts';

export const H_MS = 3.6e6;

/** A cook as the controller would report it, at any moment the test likes. */
export class Supper {
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
export const heating =
  (supper: Supper, away = (_ms: number) => 0) =>
  (ms: number) => {
    const [onMs, hotMs] = [supper.step('bath-on'), supper.step('bath-hot')];
    return Math.min(74, 12 + (62 * (ms - onMs)) / (hotMs - onMs)) - away(ms);
  };

/** The lamb is in, under the id that it was planned with. */
export function bagIn(
  supper: Supper,
  inAtMs: number,
  bagId = plannedBags({ plan: supper.plan as never })[0]!.bagId,
) {
  supper.bags = [bagViewFixture({ bagId, cutId: 'lamb-shoulder', inAtMs })];
}

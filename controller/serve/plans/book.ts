import { askedOf, type Known } from '../../../shared/plan/form.ts';
import { BathkeeperError } from '../../../shared/wire/errors.ts';
import {
  MOST_PLANS,
  type PlanPut,
  type PlanSummary,
  planIdSchema,
  type StoredPlan,
} from '../../../shared/wire/plan.ts';
import type { Planner } from './planner.ts';
import type { PlanStore } from './store.ts';

/** A plan this long past its serve-by may be forgotten to make room for another. */
const OVER_MS = 12 * 3600_000;

/** What the book is kept with. */
export interface BookParts {
  readonly store: PlanStore;
  readonly planner: Pick<Planner, 'plan'>;
  /** What the controller knows at this moment: clock, rig, rules. */
  known(bathC?: number): Known;
  /** The cook that runs now; null for none. */
  runningCookId(): string | null;
}

/** The plans of this kitchen, the same for every phone. Every change is on disk before it is answered. */
export class PlanBook {
  readonly #parts: BookParts;
  readonly #plans = new Map<string, StoredPlan>();
  #last: Promise<unknown> = Promise.resolve();

  private constructor(parts: BookParts) {
    this.#parts = parts;
  }

  /** Opens the book with what is on disk. */
  static async open(parts: BookParts): Promise<PlanBook> {
    const book = new PlanBook(parts);
    for (const plan of await parts.store.load()) book.#plans.set(plan.planId, plan);
    return book;
  }

  /** All plans, the next to be served first. */
  list(): PlanSummary[] {
    return [...this.#plans.values()].sort((a, b) => servedMs(a) - servedMs(b)).map(summaryOf);
  }

  /** Every plan, whole. */
  all(): StoredPlan[] {
    return [...this.#plans.values()];
  }

  /** One plan. @throws BathkeeperError `plan-unknown` */
  get(planId: string): StoredPlan {
    const plan = this.#plans.get(planId);
    if (!plan) throw new BathkeeperError('plan-unknown');
    return plan;
  }

  /** The plan that a cook was begun from; null where there is none. */
  ofCook(cookId: string): StoredPlan | null {
    return [...this.#plans.values()].find((plan) => plan.cookId === cookId) ?? null;
  }

  /** Plans a job and keeps it. Rejects with `plan-refused`, `plan-changed`, `plan-running` or `too-many-plans`. */
  put(planId: string, { form, revision }: PlanPut, by: string): Promise<StoredPlan> {
    return this.#inTurn(async () => {
      if (!planIdSchema.safeParse(planId).success) {
        throw new BathkeeperError('bad-request', 'planId: letters, digits, - and _, at most 64');
      }
      const old = this.#plans.get(planId);
      if ((old?.revision ?? 0) !== (revision ?? 0)) throw new BathkeeperError('plan-changed');
      this.#mustNotRun(old);
      const known = this.#parts.known(form.bathC);
      const plan = await this.#parts.planner.plan(askedOf(form, known));
      // Room is made only for a plan that there is.
      if (!old) await this.#makeRoom(known.nowMs);
      return await this.#keep({
        planId,
        revision: (old?.revision ?? 0) + 1,
        name: form.name ?? nameOf(plan.job.dishes.map((dish) => dish.name)),
        madeAtMs: known.nowMs,
        by,
        form,
        plan: plan as unknown as StoredPlan['plan'],
        cookId: null,
        movedToMs: null,
        reminded: old?.reminded ?? [],
      });
    });
  }

  /** Forgets a plan. Rejects with `plan-unknown` or `plan-running`. */
  remove(planId: string): Promise<void> {
    return this.#inTurn(async () => {
      this.#mustNotRun(this.get(planId));
      await this.#parts.store.remove(planId);
      this.#plans.delete(planId);
    });
  }

  /** Changes what happened to a plan, not the plan. Rejects with `plan-unknown`. */
  note(
    planId: string,
    change: (plan: StoredPlan) => Partial<Pick<StoredPlan, 'cookId' | 'movedToMs' | 'reminded'>>,
  ): Promise<StoredPlan> {
    return this.#inTurn(() => {
      const plan = this.get(planId);
      return this.#keep({ ...plan, ...change(plan) });
    });
  }

  #mustNotRun(plan: StoredPlan | undefined): void {
    const running = this.#parts.runningCookId();
    if (plan?.cookId && plan.cookId === running) throw new BathkeeperError('plan-running');
  }

  async #makeRoom(nowMs: number): Promise<void> {
    if (this.#plans.size < MOST_PLANS) return;
    const running = this.#parts.runningCookId();
    const over = [...this.#plans.values()]
      .filter((plan) => servedMs(plan) + OVER_MS < nowMs && (plan.cookId === null || plan.cookId !== running))
      .sort((a, b) => servedMs(a) - servedMs(b))[0];
    if (!over) throw new BathkeeperError('too-many-plans', `${MOST_PLANS} are the most.`);
    await this.#parts.store.remove(over.planId);
    this.#plans.delete(over.planId);
  }

  async #keep(plan: StoredPlan): Promise<StoredPlan> {
    await this.#parts.store.save(plan);
    this.#plans.set(plan.planId, plan);
    return plan;
  }

  /** One change at a time: two phones that save at once must not mix. */
  #inTurn<T>(change: () => Promise<T>): Promise<T> {
    const turn = this.#last.then(change);
    this.#last = turn.catch(() => {});
    return turn;
  }
}

const servedMs = (plan: StoredPlan): number => plan.movedToMs ?? plan.plan.serveByMs;

function nameOf(dishes: readonly string[]): string {
  return [...new Set(dishes)].join(', ').slice(0, 60);
}

function summaryOf(stored: StoredPlan): PlanSummary {
  const { planId, revision, name, madeAtMs, by, cookId, plan } = stored;
  const { status, words } = plan;
  return { planId, revision, name, madeAtMs, by, cookId, serveByMs: servedMs(stored), status, words };
}

import { PlanFault } from '../../../shared/plan/fault.ts';
import type { Known } from '../../../shared/plan/form.ts';
import { wholePlan } from '../../../shared/plan/form.ts';
import { measuredOf } from '../../../shared/plan/measured-status.ts';
import { parseServeBy } from '../../../shared/plan/zone.ts';
import { BathkeeperError } from '../../../shared/wire/errors.ts';
import type { PlanOutlook, StoredPlan } from '../../../shared/wire/plan.ts';
import type { Status } from '../../../shared/wire/status.ts';
import type { JournalReader } from '../../journal/reader.ts';
import type { Committed } from '../hub.ts';
import type { PlanBook } from './book.ts';
import type { Planner } from './planner.ts';
import { WaterLog } from './water.ts';

/** What following a cook needs. */
export interface FollowParts {
  readonly book: PlanBook;
  readonly planner: Pick<Planner, 'reforecast'>;
  readonly reader: JournalReader;
  known(): Known;
  /** A clock that never steps, real time, ms. */
  monotonicMs(): number;
  readonly log: (line: string) => void;
}

/** A forecast stands this long, by the clock of the cook, unless something happens. */
export const EVERY_MS = 60_000;
/** In demo time a minute passes in a second: the planner is left some air. */
const REAL_LEAST_MS = 2000;

/** Said where the wall clock may be wrong: lengths of time still hold, times of day may not. */
export const CLOCK_DOUBT =
  'The clock of the controller is not known to be set: compare its times with your own clock.';

interface Following {
  readonly cookId: string;
  planId: string | null;
  readonly water: WaterLog;
}

/**
 * Keeps the plan of the running cook true: gathers the water, and forecasts anew once a minute and whenever a bag, a
 * fork test, the setpoint, the heat or the dinner changes. Works beside the loop, from what is on disk.
 */
export class PlanFollower {
  readonly #parts: FollowParts;
  readonly #outlooks = new Map<string, PlanOutlook>();
  #following: Following | null = null;
  #status: Status | null = null;
  #done = { wallMs: Number.NEGATIVE_INFINITY, realMs: Number.NEGATIVE_INFINITY, what: '' };
  #busy: Promise<void> | null = null;

  constructor(parts: FollowParts) {
    this.#parts = parts;
  }

  /** The cook that runs now; null for none. */
  runningCookId(): string | null {
    const cook = this.#status?.cook;
    return cook && cook.endedAtMs === null ? cook.cookId : null;
  }

  /** The last forecast of a plan whose cook runs, or ran since the start; null where there is none. */
  outlook(planId: string): PlanOutlook | null {
    return this.#outlooks.get(planId) ?? null;
  }

  /** News of the loop, with each commit. */
  take({ samples, events, status }: Committed): void {
    this.#status = status;
    const cookId = this.runningCookId();
    if (cookId === null) {
      this.#following = null;
      return;
    }
    if (this.#following?.cookId !== cookId) {
      const planId = this.#parts.book.ofCook(cookId)?.planId ?? null;
      const following = { cookId, planId, water: new WaterLog() };
      this.#following = following;
      void this.#catchUp(following, status).catch((error: unknown) => this.#fault(error));
    }
    const following = this.#following;
    if (!following) return;
    for (const { kind, data } of events) {
      const planId = kind === 'cook-started' ? planIdOf(data) : null;
      if (planId !== null) void this.#link(following, planId).catch((error: unknown) => this.#fault(error));
    }
    following.water.take(samples);
    this.#forecastWhenDue(following, status);
  }

  /** Dinner moved, or back to as planned (null): kept for all phones, and the forecast that follows from it. */
  async move(planId: string, serveBy: string | number | null): Promise<PlanOutlook> {
    const stored = this.#mustRun(planId);
    const movedToMs = serveBy === null ? null : this.#instantOf(serveBy, stored);
    const moved = await this.#parts.book.note(planId, () => ({ movedToMs }));
    const outlook = await this.#forecast(moved, movedToMs);
    this.#outlooks.set(planId, outlook);
    return outlook;
  }

  /** What would follow if dinner moved; nothing is kept. */
  async whatIf(planId: string, serveBy: string | number): Promise<PlanOutlook> {
    const stored = this.#mustRun(planId);
    return await this.#forecast(stored, this.#instantOf(serveBy, stored));
  }

  /** Resolves once no forecast is under way. */
  async settled(): Promise<void> {
    await this.#busy;
  }

  #mustRun(planId: string): StoredPlan {
    const stored = this.#parts.book.get(planId);
    if (stored.cookId !== null && stored.cookId === this.runningCookId()) return stored;
    throw new BathkeeperError(
      'no-cook',
      'No cook runs on this plan: change the plan itself to serve at another time.',
    );
  }

  #instantOf(serveBy: string | number, stored: StoredPlan): number {
    try {
      const text = typeof serveBy === 'number' ? new Date(serveBy).toISOString() : serveBy;
      return parseServeBy(text, stored.plan.zone, this.#parts.known().nowMs).ms;
    } catch (error) {
      if (error instanceof PlanFault) throw new BathkeeperError('plan-refused', error.faults.join('\n'));
      if (error instanceof RangeError) throw new BathkeeperError('plan-refused', error.message);
      throw error;
    }
  }

  /** After a restart: the water before it, and the plan, should the end have come before it was noted. */
  async #catchUp(following: Following, status: Status): Promise<void> {
    const { reader } = this.#parts;
    await following.water.recall(reader, following.cookId, status.wallMs);
    if (following.planId !== null) return;
    const started = (await reader.events(following.cookId, 0)).find((one) => one.kind === 'cook-started');
    const planId = started ? planIdOf(started.data) : null;
    if (planId !== null) await this.#link(following, planId);
  }

  async #link(following: Following, planId: string): Promise<void> {
    const known = this.#parts.book.all().find((plan) => plan.planId === planId);
    if (!known) return;
    following.planId = planId;
    if (known.cookId !== following.cookId) {
      this.#outlooks.delete(planId);
      await this.#parts.book.note(planId, () => ({ cookId: following.cookId, movedToMs: null }));
    }
  }

  #forecastWhenDue(following: Following, status: Status): void {
    const { planId } = following;
    if (planId === null || this.#busy) return;
    const stored = this.#parts.book.all().find((plan) => plan.planId === planId);
    if (!stored) return;
    const what = happened(status, stored);
    const realMs = this.#parts.monotonicMs();
    const old = status.wallMs - this.#done.wallMs >= EVERY_MS || status.wallMs < this.#done.wallMs;
    if (realMs - this.#done.realMs < REAL_LEAST_MS || (!old && what === this.#done.what)) return;
    this.#done = { wallMs: status.wallMs, realMs, what };
    this.#busy = this.#forecast(stored, stored.movedToMs)
      .then((outlook) => {
        this.#outlooks.set(planId, outlook);
      })
      .catch((error: unknown) => this.#fault(error))
      .finally(() => {
        this.#busy = null;
      });
  }

  /** A forecast, or the last one with a note of why there is none. */
  async #forecast(stored: StoredPlan, movedToMs: number | null): Promise<PlanOutlook> {
    const status = this.#status;
    const following = this.#following;
    const last = this.#outlooks.get(stored.planId);
    if (!status || !following) throw new BathkeeperError('no-cook');
    const plan = wholePlan(stored);
    const common = { planId: stored.planId, cookId: following.cookId };
    const serveByMs = movedToMs ?? plan.serveByMs;
    const stays = (note: string): PlanOutlook => ({
      ...common,
      atMs: last?.atMs ?? status.wallMs,
      serveByMs,
      plan: last?.plan ?? stored.plan,
      changes: last?.changes ?? [],
      options: [],
      note,
    });
    if (status.cook?.stage === 'taken-out') return stays('Everything is out of the bath.');
    try {
      const measured = measuredOf(plan, status, following.water.rows(), movedToMs);
      const outlook = await this.#parts.planner.reforecast(plan, measured);
      const whole = { ...outlook, plan: outlook.plan as unknown as StoredPlan['plan'] };
      const note = status.wallTrusted ? null : CLOCK_DOUBT;
      return { ...common, atMs: status.wallMs, serveByMs, note, ...copyOf(whole) };
    } catch (error) {
      if (error instanceof BathkeeperError && error.code === 'plan-refused') return stays(error.detail);
      throw error;
    }
  }

  #fault(error: unknown): void {
    this.#parts.log(`The plan was not forecast anew: ${error instanceof Error ? error.message : 'unknown'}`);
  }
}

type Parts = Pick<PlanOutlook, 'plan' | 'changes' | 'options'>;
const copyOf = ({ plan, changes, options }: { [K in keyof Parts]: unknown }): Parts =>
  ({ plan, changes, options }) as Parts;

/** The plan that an event of a started cook names; null where it names none. */
function planIdOf(data: Readonly<Record<string, unknown>>): string | null {
  const { planId } = (data.plan ?? {}) as { planId?: unknown };
  return typeof planId === 'string' ? planId : null;
}

/** What a forecast rests on besides the water: when it differs, a new one is due at once. */
function happened({ bags, setpointC, heat, trip }: Status, { movedToMs, revision }: StoredPlan): string {
  const said = bags.map(({ bagId, inAtMs, outAtMs, tender }) => [
    bagId,
    inAtMs,
    outAtMs,
    tender?.forkTests.length ?? 0,
  ]);
  return JSON.stringify([said, setpointC, heat.stopped, trip?.alarmId ?? null, movedToMs, revision]);
}

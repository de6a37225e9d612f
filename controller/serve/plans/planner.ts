import type { Worker } from 'node:worker_threads';
import type { JobAsked } from '../../../shared/plan/complete.ts';
import type { Measured } from '../../../shared/plan/measured.ts';
import type { Outlook } from '../../../shared/plan/reforecast.ts';
import type { Plan } from '../../../shared/plan/types.ts';
import { BathkeeperError } from '../../../shared/wire/errors.ts';
import { startWorker } from '../../journal/spawn.ts';

/** One reckoning for the worker. */
export type PlannerCall =
  | { readonly kind: 'plan'; readonly asked: JobAsked }
  | { readonly kind: 'reforecast'; readonly plan: Plan; readonly measured: Measured };

/** What comes back: a value, what was wrong with what was asked, or what failed that should not. */
export type PlannerAnswer = { readonly id: number } & (
  | { readonly value: unknown }
  | { readonly faults: readonly string[] }
  | { readonly failed: string }
);

/** Plans and forecasts without ever holding up the loop that keeps the bath. */
export interface Planner {
  /** Rejects with `plan-refused`, `too-many-requests`, `not-answering` or `internal`. */
  plan(asked: JobAsked): Promise<Plan>;
  reforecast(plan: Plan, measured: Measured): Promise<Outlook>;
  close(): Promise<void>;
}

/** Reckonings waiting at once. */
const WAITING_MOST = 8;
/** The slowest board that this may run on plans eight bags in a few seconds. */
const PATIENCE_MS = 30_000;
/** A worker that nobody asked for so long gives its memory back. */
const IDLE_MS = 5 * 60_000;

interface Waiting {
  readonly resolve: (value: never) => void;
  readonly reject: (error: Error) => void;
  readonly timer: NodeJS.Timeout;
}

/** A planner in a worker of its own, started when first asked. `log` is told what failed. */
export function openPlanner(log: (line: string) => void): Planner {
  const waiting = new Map<number, Waiting>();
  let worker: Worker | null = null;
  let idle: NodeJS.Timeout | null = null;
  let nextId = 1;
  const drop = async (error: BathkeeperError): Promise<void> => {
    const gone = worker;
    worker = null;
    for (const [id, one] of waiting) settle(id, () => one.reject(error));
    await gone?.terminate();
  };
  const settle = (id: number, end: (one: Waiting) => void): void => {
    const one = waiting.get(id);
    if (!one) return;
    waiting.delete(id);
    clearTimeout(one.timer);
    end(one);
    if (idle) clearTimeout(idle);
    idle = setTimeout(() => waiting.size === 0 && void drop(new BathkeeperError('internal')), IDLE_MS);
    idle.unref();
  };
  const start = (): Worker => {
    const made = startWorker('planner-worker', import.meta.url, null);
    made.unref();
    made.on('message', (answer: PlannerAnswer) => settle(answer.id, (one) => end(one, answer, log)));
    made.on('error', (error) => {
      log(`The planner stopped: ${error.message}`);
      if (worker === made) void drop(new BathkeeperError('internal'));
    });
    return made;
  };
  const call = <T>(what: PlannerCall): Promise<T> => {
    if (waiting.size >= WAITING_MOST) {
      return Promise.reject(new BathkeeperError('too-many-requests', `${waiting.size} plans are waiting.`));
    }
    worker ??= start();
    const id = nextId++;
    return new Promise<T>((resolve, reject) => {
      const timer = setTimeout(() => {
        log(`The planner gave no answer within ${PATIENCE_MS / 1000} s; it is started again.`);
        void drop(new BathkeeperError('not-answering'));
      }, PATIENCE_MS);
      waiting.set(id, { resolve: resolve as (value: never) => void, reject, timer });
      worker?.postMessage({ id, ...what });
    });
  };
  return {
    plan: (asked) => call<Plan>({ kind: 'plan', asked }),
    reforecast: (plan, measured) => call<Outlook>({ kind: 'reforecast', plan, measured }),
    async close() {
      if (idle) clearTimeout(idle);
      await drop(new BathkeeperError('not-answering'));
    },
  };
}

function end(one: Waiting, answer: PlannerAnswer, log: (line: string) => void): void {
  if ('value' in answer) one.resolve(answer.value as never);
  else if ('faults' in answer) one.reject(new BathkeeperError('plan-refused', answer.faults.join('\n')));
  else {
    log(`The planner failed: ${answer.failed}`);
    one.reject(new BathkeeperError('internal'));
  }
}

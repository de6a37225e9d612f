import { parentPort } from 'node:worker_threads';
import { PlanFault } from '../../../shared/plan/fault.ts';
import { planBackwards } from '../../../shared/plan/plan.ts';
import { reforecast } from '../../../shared/plan/reforecast.ts';
import type { PlannerAnswer, PlannerCall } from './planner.ts';

parentPort?.on('message', (call: PlannerCall & { readonly id: number }) => {
  parentPort?.postMessage(answerTo(call));
});

function answerTo(call: PlannerCall & { readonly id: number }): PlannerAnswer {
  const { id } = call;
  try {
    const value = call.kind === 'plan' ? planBackwards(call.asked) : reforecast(call.plan, call.measured);
    return { id, value };
  } catch (error) {
    if (error instanceof PlanFault) return { id, faults: error.faults };
    if (error instanceof RangeError) return { id, faults: [error.message] };
    return { id, failed: error instanceof Error ? (error.stack ?? error.message) : String(error) };
  }
}

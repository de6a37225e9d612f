/** What a running cook tells the plan. */
import type { ForkAnswer } from '../tender/belief.ts';
import { PlanFault } from './fault.ts';
import type { Plan } from './types.ts';
import type { WaterRow } from './water-log.ts';

/** What is known of one bag. */
export interface MeasuredBag {
  readonly bagId: string;
  /** null: not in yet. */
  readonly inAtMs: number | null;
  readonly outAtMs?: number | null;
  readonly tests?: readonly { readonly atMs: number; readonly answer: ForkAnswer }[];
}

/** What is known of the cook. */
export interface Measured {
  readonly nowMs: number;
  /** Since the bath was switched on; any spacing. */
  readonly water: readonly WaterRow[];
  readonly bags: readonly MeasuredBag[];
  readonly bathOnMs?: number | null;
  /** Where the setpoint was changed. */
  readonly setpointC?: number;
  /** false: there is no heat at this moment. */
  readonly heatAvailable?: boolean;
  /** Dinner moved. */
  readonly serveByMs?: number;
}

/** @throws PlanFault listing what is wrong with it */
export function checkMeasured(plan: Plan, measured: Measured): void {
  const faults: string[] = [];
  const known = new Set(plan.dishes.flatMap((dish) => dish.bagIds));
  for (const { bagId, inAtMs, tests } of measured.bags) {
    if (!known.has(bagId)) {
      faults.push(`bag "${bagId}" is not in this plan; it has ${[...known].join(', ') || 'none'}.`);
    }
    if (inAtMs !== null && !(inAtMs <= measured.nowMs)) faults.push(`bag "${bagId}" goes in later than now.`);
    for (const test of tests ?? []) {
      if (inAtMs === null || !(test.atMs >= inAtMs && test.atMs <= measured.nowMs)) {
        faults.push(`a fork test of bag "${bagId}" lies before it went in or after now.`);
      }
    }
  }
  if (!Number.isFinite(measured.nowMs)) faults.push(`now is ${measured.nowMs}; expected milliseconds.`);
  if (measured.bags.some((bag) => bag.inAtMs !== null) && measured.water.length === 0) {
    faults.push('food is in, but no water temperature was given.');
  }
  const bagIds = [...known];
  const isOut = (bagId: string) => measured.bags.find((bag) => bag.bagId === bagId)?.outAtMs != null;
  if (bagIds.length > 0 && bagIds.every(isOut))
    faults.push('every bag is out: there is nothing left to forecast.');
  const serveByMs = measured.serveByMs ?? plan.serveByMs;
  if (!(serveByMs > measured.nowMs)) faults.push('the serve-by has passed; give a new one.');
  if (faults.length > 0) throw new PlanFault(faults);
}

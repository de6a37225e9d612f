/** Jobs that the plan's tests share: the hut kitchen's evening. */
import type { JobAsked } from '../../shared/plan/complete.ts';
import type { Plan, Step, StepKind } from '../../shared/plan/types.ts';

export const ZONE = 'Europe/Zurich';
export const at = (iso: string) => Date.parse(iso);
/** Thursday afternoon, the day before dinner. */
export const NOW_MS = at('2026-07-02T15:00:00+02:00');
export const DINNER = '2026-07-03 19:30';
export const DINNER_MS = at('2026-07-03T19:30:00+02:00');
export const H_MS = 3.6e6;

/** Lamb for eight, with what a cook would add. */
export function lambJob(changes: Partial<JobAsked> = {}): JobAsked {
  return {
    nowMs: NOW_MS,
    serveBy: DINNER,
    zone: ZONE,
    peopleCount: 8,
    dishes: [{ cut: 'lamb shoulder', massKg: 2, thicknessMm: 70 }],
    bathC: 74,
    ...changes,
  };
}

/** The step of a kind; of a dish where there are several. */
export function stepOf(plan: Plan, kind: StepKind, dishId?: string): Step {
  const found = plan.steps.find(
    (step) => step.kind === kind && (dishId === undefined || step.dishIds.includes(dishId)),
  );
  if (!found) throw new Error(`no step ${kind} in ${plan.steps.map((step) => step.id).join(', ')}`);
  return found;
}

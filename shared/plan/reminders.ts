/** Nudges for what a person does, at low priority; none in the night unless the job needs it then. */
import type { Job, Reminder, Step, StepKind } from './types.ts';
import { aroundNight, clockText, inNight } from './zone.ts';

/** How long before its time a step is announced, s. */
const LEAD_S: Partial<Record<StepKind, number>> = {
  cure: 0,
  rinse: 5 * 60,
  bag: 10 * 60,
  'bath-on': 5 * 60,
  'food-in': 10 * 60,
  look: 0,
  'top-up': 0,
  'fork-test': 0,
  out: 10 * 60,
  chill: 30 * 60,
  reheat: 10 * 60,
  brown: 0,
  plate: 0,
};

/** Steps that cannot be put off till morning. */
const NEEDED: ReadonlySet<StepKind> = new Set<StepKind>([
  'bath-on',
  'bag',
  'rinse',
  'food-in',
  'look',
  // It was put before the night where that is early enough.
  'top-up',
  'out',
  'chill',
  'reheat',
  'brown',
  'plate',
]);

/** Reminders for the steps still to come. What can wait is announced when the night is over. */
export function remindersOf(job: Job, steps: readonly Step[], fromMs: number): Reminder[] {
  return steps.flatMap((step) => {
    const leadS = LEAD_S[step.kind];
    if (leadS === undefined || step.who !== 'person' || step.atMs < fromMs) return [];
    const night = inNight(step.atMs, job.night, job.zone);
    const needed = night && NEEDED.has(step.kind);
    const dueMs = Math.max(fromMs, step.atMs - 1000 * leadS);
    const atMs = needed ? dueMs : aroundNight(dueMs, job.night, job.zone).afterMs;
    const text = `${clockText(step.atMs, job.zone)} ${step.title}`;
    return [{ stepId: step.id, atMs, priority: 'low' as const, text, nightNeeded: needed }];
  });
}

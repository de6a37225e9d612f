import type { Step } from '../../../shared/plan/types.ts';
import type { PlanForm } from '../../../shared/wire/plan.ts';
import { unit } from '../state/prefs.ts';
import { go } from '../state/view.ts';
import { Button } from '../view/parts.tsx';
import { localText } from '../words/temperature.ts';
import { changing, faults, planHere, type Shown } from './state.ts';
import { spanText } from './when.ts';

/** A step this late may upset what follows, ms. */
const UPSETS_MS = 30 * 60_000;

/** Works a plan out anew in its own place, from now. */
export function planAgain(shown: Shown, form: PlanForm): void {
  changing.value = { planId: shown.planId, revision: shown.revision };
  if (planHere(form)) go('plan', shown.planId);
  changing.value = null;
}

/** What was wrong with planning it so. */
export function Faults() {
  return (
    <>
      {faults.value.map((fault) => (
        <p key={fault} class="trouble" role="alert" data-test="plan-faults">
          {localText(fault, unit.value)}
        </p>
      ))}
    </>
  );
}

/** A step that should have been done long ago: ticked, or the plan made anew. */
export function Late({ shown, next, nowMs }: { shown: Shown; next: Step | null; nowMs: number }) {
  if (!next || nowMs - next.atMs < UPSETS_MS) return null;
  return (
    <div class="consequence plan-upset" data-test="plan-late">
      <p>
        The next step was due {spanText(nowMs - next.atMs)} ago. Tick what is done. If it is not, plan again
        from now: what follows moves with it.
      </p>
      <Faults />
      <Button test="plan-again" onPress={() => planAgain(shown, shown.form)}>
        Plan again from now
      </Button>
    </div>
  );
}

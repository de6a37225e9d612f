import type { Plan, Step } from '../../../shared/plan/types.ts';
import { unit } from '../state/prefs.ts';
import { Button } from '../view/parts.tsx';
import { localText } from '../words/temperature.ts';
import { amountWords } from './amounts.ts';
import { mass } from './state.ts';
import { Cautions, isDone } from './step-row.tsx';
import { tick } from './ticks.ts';
import { awayText, timeText } from './when.ts';
import { bareTitle, briefly, canTick, tight } from './words.ts';

/** The first thing a person still has to do; null where nothing is left. */
export function nextOf(plan: Plan, planId: string): Step | null {
  return plan.steps.find((step) => canTick(step) && !isDone(planId, step)) ?? null;
}

/** Ticks it off and shows the next one from its top, so that a second touch does not land on it unread. */
function tickOff(planId: string, step: Step): void {
  tick(planId, step.id, true);
  document.querySelector('.plan-next')?.scrollIntoView({ block: 'start' });
}

interface NextProps {
  readonly plan: Plan;
  readonly planId: string;
  readonly step: Step | null;
  readonly nowMs: number;
  /** What the step does where touching it does more than tick it. */
  readonly deed: { readonly words: string; readonly onPress: () => void } | null;
}

/** The next step, to be read from across the kitchen. */
export function NextStep({ plan, planId, step, nowMs, deed }: NextProps) {
  if (!step) {
    return (
      <section class="plan-next" data-test="plan-next" data-step="">
        <h2>Everything is done</h2>
        <p>On the table {timeText(plan.serveByMs, nowMs, plan.zone)}.</p>
      </section>
    );
  }
  const u = unit.value;
  const { big, rest } = amountWords(step, { unit: u, mass: mass.value });
  return (
    <section class="plan-next" data-test="plan-next" data-step={step.id} aria-label="Next step">
      <p class="plan-next-when">
        <b data-test="plan-next-time">{timeText(step.atMs, nowMs, plan.zone)}</b>
        <span>{awayText(step.atMs, nowMs)}</span>
      </p>
      <h2 data-test="plan-next-title">{localText(bareTitle(step.title, big), u)}</h2>
      {big ? (
        <p class="plan-next-big" data-test="plan-next-amount">
          {tight(big)}
        </p>
      ) : null}
      {rest.length > 0 ? <p class="plan-next-rest">{tight(rest.join('\u00a0· '))}</p> : null}
      <p class="plan-next-why" data-test="plan-next-why">
        {localText(briefly(step.why, 120), u)}
      </p>
      <Cautions of={step.cautions} />
      <div class="row">
        {deed ? (
          <Button test="plan-next-deed" strong onPress={deed.onPress}>
            {deed.words}
          </Button>
        ) : null}
        <Button test="plan-next-done" strong={deed === null} onPress={() => tickOff(planId, step)}>
          {deed ? 'Done already' : 'Done'}
        </Button>
      </div>
      <details>
        <summary>How</summary>
        <p>{localText(step.how, u)}</p>
      </details>
    </section>
  );
}

import type { DishPlan, Plan, Step } from '../../../shared/plan/types.ts';
import { clockText } from '../../../shared/plan/zone.ts';
import { unit } from '../state/prefs.ts';
import { localText } from '../words/temperature.ts';
import { amountWords } from './amounts.ts';
import { SpanBar } from './span-bar.tsx';
import { mass } from './state.ts';
import { tick, ticked } from './ticks.ts';
import { awayText, bandText } from './when.ts';
import { canTick, tight } from './words.ts';

interface RowProps {
  readonly plan: Plan;
  readonly planId: string;
  readonly step: Step;
  readonly nowMs: number;
  readonly next: boolean;
}

/** Whether a step is behind: ticked on this phone, or known from what was measured. */
export const isDone = (planId: string, step: Step) => step.done || ticked(planId, step.id);

/** How late a step may be before it is said, ms. */
const LATE_MS = 10 * 60_000;

const MARK: Record<Step['who'], string> = { person: '', physics: 'by itself', odds: 'odds' };

/** One step of the timeline; touched, it opens to how and why. */
export function StepRow({ plan, planId, step, nowMs, next }: RowProps) {
  const done = isDone(planId, step);
  const past = done || (step.who !== 'person' && (step.bandMs?.[1] ?? step.atMs) < nowMs);
  const late = canTick(step) && !done && step.atMs < nowMs - LATE_MS;
  const state = done ? 'done' : late ? 'late' : past ? 'past' : next ? 'next' : 'ahead';
  const limit = step.kind === 'latest-start';
  return (
    <li
      class="plan-step"
      data-who={limit ? 'limit' : step.who}
      data-test="plan-step"
      data-step={step.id}
      data-kind={step.kind}
      data-state={state}
      data-at={step.atMs}
      data-low={step.bandMs?.[0] ?? ''}
      data-high={step.bandMs?.[1] ?? ''}
    >
      <time class="plan-clock">
        {clockText(step.atMs, plan.zone)}
        {step.who === 'odds' ? <small>about</small> : null}
        {step.night && !done ? <small>night</small> : null}
      </time>
      <details>
        <summary>
          <span class="plan-title">{tight(localText(step.title, unit.value))}</span>
          <StepFacts step={step} zone={plan.zone} />
          {late ? <span class="plan-late">was due {awayText(step.atMs, nowMs)}</span> : null}
          {MARK[step.who] || limit ? <small>{limit ? 'a limit' : MARK[step.who]}</small> : null}
          {step.kind === 'ready' ? <ReadySpan step={step} plan={plan} /> : null}
        </summary>
        <StepFold step={step} />
      </details>
      {canTick(step) ? <TickBox planId={planId} step={step} done={done} /> : null}
    </li>
  );
}

/** Amounts and, for what happens of itself, its band. */
function StepFacts({ step, zone }: { step: Step; zone: string }) {
  const { big, rest } = amountWords(step, { unit: unit.value, mass: mass.value });
  const facts = [...(big && !repeated(step.title, big) ? [big] : []), ...rest];
  return (
    <>
      {facts.length > 0 ? <span class="plan-facts">{tight(facts.join('\u00a0· '))}</span> : null}
      {step.bandMs ? <span class="plan-band">{bandText(step.bandMs, zone)}</span> : null}
    </>
  );
}

/** A title that has the figure already needs it no second time. */
const repeated = (title: string, big: string) => {
  const [number, word] = big.replace('°', '').split(' ');
  return new RegExp(`\\b${number} ?${word?.[0] ?? ''}`).test(title);
};

function ReadySpan({ step, plan }: { step: Step; plan: Plan }) {
  const dish = plan.dishes.find((one) => one.dishId === step.dishIds[0]);
  return dish ? <SpanBar dish={dish satisfies DishPlan} zone={plan.zone} besideMs={step.atMs} /> : null;
}

/** How, why, what to mind, and where it is from. */
export function StepFold({ step }: { step: Step }) {
  const u = unit.value;
  return (
    <div class="plan-fold">
      <p>{localText(step.how, u)}</p>
      <p>
        <b>Why:</b> {localText(step.why, u)}
      </p>
      <Cautions of={step.cautions} />
      <p class="help">{step.source ? `From: ${localText(step.source, u)}.` : null}</p>
    </div>
  );
}

/** What can hurt, as plainly as everything else and with a sign of its own. */
export function Cautions({ of }: { of: readonly string[] }) {
  if (of.length === 0) return null;
  return (
    <ul class="plan-cautions" data-test="plan-cautions">
      {of.map((caution) => (
        <li key={caution}>{localText(caution, unit.value)}</li>
      ))}
    </ul>
  );
}

function TickBox({ planId, step, done }: { planId: string; step: Step; done: boolean }) {
  return (
    <label class="plan-tick">
      <input
        type="checkbox"
        data-test="plan-tick"
        aria-label={`Done: ${step.title}`}
        checked={done}
        disabled={step.done}
        onChange={(event) => tick(planId, step.id, event.currentTarget.checked)}
      />
    </label>
  );
}

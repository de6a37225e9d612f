import { Fragment } from 'preact';
import type { Plan, Step } from '../../../shared/plan/types.ts';
import { clockText } from '../../../shared/plan/zone.ts';
import { StepRow } from './step-row.tsx';
import { dayHeading, sameDay } from './when.ts';

interface TimelineProps {
  readonly plan: Plan;
  readonly planId: string;
  readonly nowMs: number;
  readonly next: Step | null;
}

/** Every step in order of time, by day, with a line where now is. */
export function Timeline({ plan, planId, nowMs, next }: TimelineProps) {
  const { steps, zone } = plan;
  const firstAhead = steps.findIndex((step) => step.atMs > nowMs);
  const nowAt = firstAhead === -1 ? steps.length : firstAhead;
  return (
    <section class="plan-timeline" data-test="plan-timeline" aria-label="All steps">
      <h2>All steps</h2>
      <ol>
        {steps.map((step, i) => {
          const before = steps[i - 1];
          const newDay = !before || !sameDay(before.atMs, step.atMs, zone);
          return (
            <Fragment key={step.id}>
              {i === nowAt ? <NowLine nowMs={nowMs} zone={zone} /> : null}
              {newDay ? <li class="plan-day">{dayHeading(step.atMs, nowMs, zone)}</li> : null}
              <StepRow plan={plan} planId={planId} step={step} nowMs={nowMs} next={step === next} />
            </Fragment>
          );
        })}
        {nowAt === steps.length ? <NowLine nowMs={nowMs} zone={zone} /> : null}
        <li class="plan-step" data-state="table">
          <time class="plan-clock">{clockText(plan.serveByMs, zone)}</time>
          <span class="plan-title">On the table</span>
          <span />
        </li>
      </ol>
      <h2>If something is wrong with a bag</h2>
      {plan.decisions.map((decision) => (
        <details key={decision.id} class="plan-decision" data-test={`plan-decision-${decision.id}`}>
          <summary>{decision.question}</summary>
          <ul>
            {decision.options.map((option) => (
              <li key={option.when} data-ends={option.endsFood}>
                <b>{option.when}:</b> {option.action}
              </li>
            ))}
          </ul>
        </details>
      ))}
    </section>
  );
}

function NowLine({ nowMs, zone }: { nowMs: number; zone: string }) {
  return (
    <li class="plan-now" data-test="plan-now">
      <span>Now {clockText(nowMs, zone)}</span>
    </li>
  );
}

import '../styles/plan.css';
import '../styles/plan-next.css';
import '../styles/plan-line.css';
import '../styles/plan-span.css';
import '../styles/plan-print.css';
import { useSignal } from '@preact/signals';
import { useEffect } from 'preact/hooks';
import { clockText } from '../../../shared/plan/zone.ts';
import type { Trouble } from '../command/send.ts';
import { cookRunning, status } from '../state/bath.ts';
import { go, view } from '../state/view.ts';
import { Button, Page, TroubleBox, TroubleOf } from '../view/parts.tsx';
import { Late } from './again.tsx';
import { Cure } from './cure-care.tsx';
import { DinnerMoved } from './dinner-moved.tsx';
import { CHANGE, PlanForm } from './form.tsx';
import { Given } from './given.tsx';
import { NextStep, nextOf } from './next-step.tsx';
import { Overview } from './overview.tsx';
import { hearOutlook, outlookOf, Running } from './running.tsx';
import { Keeping } from './share.tsx';
import { PrintedPlan } from './sheet.tsx';
import { hearKnown, hearPlan, known, planNowMs, type Shown, shownOf } from './state.ts';
import { Timeline } from './timeline.tsx';
import { Verdict } from './verdict.tsx';
import { dayInSentence } from './when.ts';
import { capital, oddsWords, titleOf } from './words.ts';

/** How often a kept plan is looked at again: another phone may have changed it, ms. */
const LOOK_AGAIN_MS = 15_000;

/** The planning part of the page: the form, or the plan that is named in the address. */
export function PlanPage() {
  const { bagId: planId } = view.value;
  if (planId === null || planId === CHANGE) return <PlanForm key={planId ?? 'new'} />;
  return <OnePlan key={planId} planId={planId} />;
}

function OnePlan({ planId }: { planId: string }) {
  const trouble = useSignal<Trouble | null>(null);
  const shown = shownOf(planId);
  useEffect(() => {
    if (!known.peek()) void hearKnown();
    const look = async () => {
      if (shownOf(planId)?.kept === null) return;
      trouble.value = await hearPlan(planId);
    };
    void look();
    const timer = setInterval(look, LOOK_AGAIN_MS);
    return () => clearInterval(timer);
  }, [planId]);
  if (shown) return <WholePlan shown={shown} />;
  return (
    <Page test="plan-missing" title="Plan">
      {trouble.value ? <TroubleBox trouble={trouble.value} /> : <p>Fetching the plan…</p>}
      <Button test="plan-new" onPress={() => go('plan')}>
        Plan a meal
      </Button>
    </Page>
  );
}

/** Whether the cook that runs was begun from that plan. */
export function runsOn(shown: Shown): boolean {
  const cook = status.value?.cook;
  return cookRunning.value && cook !== undefined && cook !== null && shown.kept?.cookId === cook.cookId;
}

/** What the first screen of a plan is for: the next step; then how sure it is; then everything, in order of time. */
function WholePlan({ shown }: { shown: Shown }) {
  const running = runsOn(shown);
  const { planId } = shown;
  useEffect(() => (running ? hearOutlook(planId) : undefined), [running, planId]);
  const outlook = running ? outlookOf(planId) : null;
  const plan = outlook?.plan ?? shown.plan;
  const now = planNowMs.value;
  const next = nextOf(plan, planId);
  const fits = plan.status === 'odds-met' || plan.status === 'odds-short';
  const start =
    fits && !cookRunning.value && next?.kind === 'bath-on'
      ? { words: 'Start the cook…', onPress: () => go('plan-start', planId) }
      : null;
  const askedForMore =
    plan.status !== 'odds-met' ||
    plan.conflicts.length > 0 ||
    plan.additions.some((one) => one.restartsDishIds.length > 0);
  // What cannot be met comes before what to do about a plan that nobody may want.
  const verdict = <Verdict shown={shown} plan={plan} running={running} />;
  return (
    <Page test="plan-page" title={titleOf(plan)} wide>
      <div
        class="plan-whole"
        data-status={plan.status}
        data-took={shown.tookMs ?? ''}
        data-now={plan.job.nowMs}
        data-plan={planId}
        data-running={running}
      >
        <div class="plan-first">
          <p class="plan-table" data-test="plan-serve-by" data-at={plan.serveByMs}>
            <b>{clockText(plan.serveByMs, plan.zone)}</b> on the table{' '}
            {dayInSentence(plan.serveByMs, now, plan.zone)}
            {plan.job.peopleCount === null ? '' : `, for ${plan.job.peopleCount}`}.{' '}
            {plan.status === 'odds-met' ? `${capital(oddsWords(plan.oddsFraction))} ready in time.` : ''}
          </p>
          <TroubleOf view="plan" />
          {running ? <Running planId={planId} plan={shown.plan} outlook={outlook} /> : null}
          {running ? null : <Late shown={shown} next={next} nowMs={now} />}
          {askedForMore ? verdict : null}
          {plan.steps.length > 0 ? (
            <NextStep plan={plan} planId={planId} step={next} nowMs={now} deed={start} />
          ) : null}
          {outlook ? <DinnerMoved planId={planId} outlook={outlook} /> : null}
          {askedForMore ? null : verdict}
          {fits ? <Overview plan={plan} nowMs={now} /> : null}
          <Keeping shown={shown} running={running} canStart={fits && !cookRunning.value && start === null} />
        </div>
        <div class="plan-rest">
          {plan.steps.length > 0 ? <Timeline plan={plan} planId={planId} nowMs={now} next={next} /> : null}
          {plan.dishes.map((dish) => (
            <Cure key={dish.dishId} plan={plan} dish={dish} />
          ))}
          <Given plan={plan} tookMs={shown.tookMs} />
        </div>
      </div>
      <PrintedPlan plan={plan} />
    </Page>
  );
}

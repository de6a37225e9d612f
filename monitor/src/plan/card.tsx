import '../styles/plan.css';
import { useEffect } from 'preact/hooks';
import { planAtHand } from '../state/plan-at-hand.ts';
import { unit } from '../state/prefs.ts';
import { go } from '../state/view.ts';
import { Button, TroubleOf } from '../view/parts.tsx';
import { localText } from '../words/temperature.ts';
import { amountWords } from './amounts.ts';
import { BagsToGo } from './bags-to-go.tsx';
import { nextOf } from './next-step.tsx';
import { runsOn } from './page.tsx';
import { hearOutlook, NowLikely, outlookOf } from './running.tsx';
import { hearPlan, mass, planNowMs, type Shown, shownOf } from './state.ts';
import { awayText, timeText } from './when.ts';
import { titleOf } from './words.ts';

/** Another phone may change the plan, or begin its cook, ms. */
const LOOK_AGAIN_MS = 10_000;

/** The plan at hand on the first screen: what is next, and when it is now likely ready. */
export function PlanCard() {
  const planId = planAtHand.value;
  useEffect(() => {
    if (!planId) return;
    void hearPlan(planId);
    const timer = setInterval(() => void hearPlan(planId), LOOK_AGAIN_MS);
    return () => clearInterval(timer);
  }, [planId]);
  const shown = planId ? shownOf(planId) : null;
  return shown ? <Card shown={shown} /> : null;
}

function Card({ shown }: { shown: Shown }) {
  const { planId } = shown;
  const running = runsOn(shown);
  useEffect(() => (running ? hearOutlook(planId) : undefined), [running, planId]);
  const outlook = running ? outlookOf(planId) : null;
  const plan = outlook?.plan ?? shown.plan;
  const now = planNowMs.value;
  const next = nextOf(plan, planId);
  return (
    <section class="plan-card" data-test="plan-card" data-plan={planId} aria-label="Plan">
      <h2>
        {titleOf(plan)}, {timeText(plan.serveByMs, now, plan.zone)}
      </h2>
      {running ? <NowLikely plan={shown.plan} outlook={outlook} /> : null}
      <TroubleOf view="watch" />
      {running ? <BagsToGo planId={planId} /> : null}
      {next ? (
        <p class="plan-card-next">
          <b>{timeText(next.atMs, now, plan.zone)}</b> {localText(next.title, unit.value)}{' '}
          <span class="help">
            {[
              awayText(next.atMs, now),
              ...amountWords(next, { unit: unit.value, mass: mass.value }).rest.slice(0, 1),
            ].join(' · ')}
          </span>
        </p>
      ) : null}
      <Button test="plan-card-open" onPress={() => go('plan', planId)}>
        {running ? 'The whole plan, or dinner moved' : 'The whole plan'}
      </Button>
    </section>
  );
}

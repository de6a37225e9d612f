import '../styles/plan.css';
import { useSignal } from '@preact/signals';
import { useEffect } from 'preact/hooks';
import { startFromPlan } from '../../../shared/plan/start.ts';
import type { Plan } from '../../../shared/plan/types.ts';
import { newId, type Outcome, sendCommand } from '../command/send.ts';
import { cookRunning } from '../state/bath.ts';
import { run } from '../state/errand.ts';
import { planAtHand } from '../state/plan-at-hand.ts';
import { cautionsRead, unit } from '../state/prefs.ts';
import { view } from '../state/view.ts';
import { BeforeHeat } from '../view/forms/before-heat.tsx';
import { askedOf, LowSetpoint } from '../view/forms/low-setpoint.tsx';
import { Page, Submit, TroubleOf } from '../view/parts.tsx';
import { localText, temperatureText } from '../words/temperature.ts';
import { putPlan } from './api.ts';
import { litresText } from './measures.ts';
import { hearPlan, mass, planNowMs, type Shown, shownOf, stored, takeStored } from './state.ts';
import { awayText, spanText, timeText } from './when.ts';
import { titleOf } from './words.ts';

/** How often, and after how long each time, the controller is asked whether the plan has its cook. */
const BIND_TRIES = 8;
const BIND_WAIT_MS = 400;

/** Keeps the plan where the controller has it not, then begins its cook. */
async function begin(planId: string, sure: boolean): Promise<Outcome> {
  const shown = shownOf(planId);
  if (!shown) return { ok: true };
  if (shown.kept === null) {
    const kept = await putPlan(planId, shown.form, shown.revision);
    if (!kept.ok) return kept;
    takeStored(kept.value);
  }
  const kept = shownOf(planId)?.kept;
  if (!kept) return { ok: true };
  const { id, ...order } = startFromPlan(kept, {
    id: newId('cmd'),
    cookId: newId('cook'),
    lowSetpointConfirmed: sure,
  });
  // Nothing is begun without the look at the box: the button waits for it.
  const outcome = await sendCommand(id, { ...order, atBath: true });
  if (outcome.ok) await untilBound(planId);
  return outcome;
}

/** The plan learns of its cook a tick after the command: waited for, so that the first screen shows both as one. */
async function untilBound(planId: string): Promise<void> {
  for (let i = 0; i < BIND_TRIES; i++) {
    await hearPlan(planId);
    if (stored.value?.planId === planId && stored.value.cookId !== null) break;
    await new Promise((resolve) => setTimeout(resolve, BIND_WAIT_MS));
  }
  planAtHand.value = planId;
}

/** From the plan to a cook: what it will do, a look at the box, and the button. */
export function PlanStart() {
  const planId = view.value.bagId ?? '';
  const shown = shownOf(planId);
  useEffect(() => {
    if (!shown) void hearPlan(planId);
  }, [planId]);
  if (!shown) {
    return (
      <Page test="plan-start-page" title="Start the cook">
        <p>Fetching the plan…</p>
      </Page>
    );
  }
  return (
    <Page test="plan-start-page" title="Start the cook">
      {cookRunning.value ? <p class="help fault">A cook is running already. End it first.</p> : null}
      <Consequence plan={shown.plan} />
      <Sure shown={shown} />
    </Page>
  );
}

/** A start this near the planned one is the planned one, ms. */
const WORTH_SAYING_MS = 10 * 60_000;

/** What the touch does, and how it stands to the time that was planned. */
function Consequence({ plan }: { plan: Plan }) {
  const now = planNowMs.value;
  const u = unit.value;
  const on = plan.steps.find((step) => step.kind === 'bath-on');
  const early = (on?.atMs ?? now) - now;
  const salted = plan.dishes.some((dish) => dish.cure)
    ? plan.steps.find((step) => step.kind === 'bag')
    : null;
  const bags = plan.dishes.reduce((sum, dish) => sum + dish.bagIds.length, 0);
  const when =
    Math.abs(early) < WORTH_SAYING_MS
      ? 'That is when the plan has it.'
      : early > 0
        ? `The plan has it ${awayText(now + early, now)}, at ${timeText(now + early, now, plan.zone)}: begun now, the bath stands hot and empty for ${spanText(early)}. Nothing is wrong with that; it costs power and water.`
        : `The plan had it ${awayText(now + early, now)}: what follows is forecast anew from when the bath is hot.`;
  return (
    <div class="consequence" data-test="consequence">
      <p>
        <b>{titleOf(plan)}</b>, on the table {timeText(plan.serveByMs, now, plan.zone)}.
      </p>
      <p>
        The element heats the water to {temperatureText(plan.bathC, u, 0)} from now on without asking again.
        {` Pour in ${litresText(plan.room.pourLitres, mass.value)} first. `}
        {localText(when, u)}
      </p>
      {salted && early > WORTH_SAYING_MS ? (
        <p>
          Leave the meat in its salt until {timeText(salted.atMs, now, plan.zone)} all the same, or it has
          less of it than planned.
        </p>
      ) : null}
      <p>
        {bags === 1 ? 'One bag is' : `${bags} bags are`} ready to be entered when the bath is hot: no food
        goes in before. Water above {temperatureText(60, u, 0)} burns skin within seconds.
      </p>
    </div>
  );
}

/** A look at the box, the cautions where they were not read, and the button that does it. */
function Sure({ shown }: { shown: Shown }) {
  const looked = useSignal(false);
  const read = useSignal(cautionsRead.value === 'yes');
  const first = cautionsRead.value === 'no';
  const send = (sure: boolean) =>
    run({
      order: null,
      send: () => begin(shown.planId, sure),
      from: 'plan-start',
      bagId: shown.planId,
      done: 'The cook is started.',
      to: { name: 'watch', id: null },
      after: () => {
        cautionsRead.value = 'yes';
      },
    });
  const missing = [
    ...(looked.value ? [] : ['your look at the box']),
    ...(read.value ? [] : ['the cautions']),
  ];
  if (askedOf('plan-start')) return <LowSetpoint view="plan-start" onSure={() => void send(true)} />;
  return (
    <>
      <BeforeHeat first={first} read={read} looked={looked} />
      <TroubleOf view="plan-start" />
      <Submit
        test="plan-start-submit"
        ready={missing.length === 0}
        why={`Still missing: ${missing.join(', ')}.`}
        onPress={() => void send(false)}
      >
        Heat the bath to {temperatureText(shown.plan.bathC, unit.value, 0)}
      </Submit>
    </>
  );
}

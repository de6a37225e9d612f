import type { Conflict, Plan } from '../../../shared/plan/types.ts';
import { unit } from '../state/prefs.ts';
import { Button } from '../view/parts.tsx';
import { localText, type TemperatureUnit, temperatureText } from '../words/temperature.ts';
import { Faults, planAgain } from './again.tsx';
import type { Shown } from './state.ts';
import { timeText } from './when.ts';
import { capital, oddsWords, offeredForm } from './words.ts';

interface VerdictProps {
  readonly shown: Shown;
  readonly plan: Plan;
  readonly running: boolean;
}

/** How sure it is, at what temperature and why; what cannot be met, and what can be done instead. */
export function Verdict({ shown, plan, running }: VerdictProps) {
  const u = unit.value;
  const met = plan.status === 'odds-met';
  return (
    <section class="plan-verdict" data-met={met} data-test="plan-verdict" aria-label="How sure it is">
      <h2>{headline(plan, u)}</h2>
      {met ? null : <p data-test="plan-short">{localText(plan.words, u)}</p>}
      {plan.steps.length > 0 ? (
        <p>
          {met ? '' : `Bath at ${temperatureText(plan.bathC, u, 0)}. `}
          {localText(plan.bathWhy, u)}
        </p>
      ) : null}
      <ReadyLines plan={plan} />
      <Soonest plan={plan} />
      {(plan.room.tooSmall ? [] : plan.room.faults).map((fault) => (
        <p key={fault} class="warn" data-test="plan-room-fault">
          {capital(localText(fault, u))}.
        </p>
      ))}
      {plan.additions.map((addition) => (
        <p
          key={addition.dishId}
          class={addition.restartsDishIds.length > 0 ? 'warn' : 'help'}
          data-test="plan-addition"
          data-restarts={addition.restartsDishIds.length}
          data-dip={addition.dipC.toFixed(2)}
        >
          {localText(addition.words, u)}
        </p>
      ))}
      {plan.conflicts.map((conflict) => (
        <Apart
          key={conflict.dishId}
          conflict={conflict}
          name={plan.job.dishes.find((dish) => dish.dishId === conflict.dishId)?.name ?? conflict.dishId}
        />
      ))}
      {running ? null : <Offers shown={shown} plan={plan} />}
    </section>
  );
}

function headline(plan: Plan, u: TemperatureUnit): string {
  if (plan.status === 'odds-met') return `Bath at ${temperatureText(plan.bathC, u, 0)}`;
  if (plan.status === 'odds-short') return `${capital(oddsWords(plan.oddsFraction))} ready in time`;
  return 'Not like this';
}

/** For several dishes: when each is likely ready. */
function ReadyLines({ plan }: { plan: Plan }) {
  if (plan.dishes.length < 2) return null;
  const nameOf = (dishId: string) => plan.job.dishes.find((dish) => dish.dishId === dishId)?.name ?? dishId;
  return (
    <ul class="plan-dishes">
      {plan.dishes.map((dish) => (
        <li key={dish.dishId}>
          <b>{nameOf(dish.dishId)}:</b> in {timeText(dish.foodInMs, plan.madeAtMs, plan.zone)}, out{' '}
          {timeText(dish.outMs, plan.madeAtMs, plan.zone)}, {oddsWords(dish.oddsFraction)} ready
        </li>
      ))}
    </ul>
  );
}

/** Where no day was named and today would not do. */
function Soonest({ plan }: { plan: Plan }) {
  const moved = plan.defaults.find((one) => one.field === 'serve by' && one.source === '');
  if (!moved) return null;
  return (
    <details class="plan-why-day">
      <summary>Why that day</summary>
      <p>{localText(moved.why, unit.value)}</p>
    </details>
  );
}

/** A dish that cannot share this bath. */
function Apart({ conflict, name }: { conflict: Conflict; name: string }) {
  const u = unit.value;
  return (
    <div class="warn" data-test="plan-conflict">
      <p>
        <b>Left out of this plan: {name}.</b> {localText(conflict.why, u)} What can be done with it:
      </p>
      <ul>
        {conflict.offers.map((offer) => (
          <li key={offer}>{localText(offer, u)}</li>
        ))}
      </ul>
    </div>
  );
}

/** Other ways, each one touch away. */
function Offers({ shown, plan }: { shown: Shown; plan: Plan }) {
  if (plan.offers.length === 0) return null;
  const list = (
    <ul class="plan-offers">
      {plan.offers.map((offer) => (
        <li key={offer.id} data-test="plan-offer" data-offer={offer.id}>
          <p>{localText(offer.words, unit.value)}</p>
          <Button
            test={`plan-take-${offer.id}`}
            label={`Plan it so: ${localText(offer.words, unit.value)}`}
            onPress={() => planAgain(shown, offeredForm(shown.form, plan, offer.change))}
          >
            Plan it so
          </Button>
        </li>
      ))}
    </ul>
  );
  if (plan.status !== 'odds-met') {
    return (
      <>
        <h3>What can be done instead</h3>
        <Faults />
        {list}
      </>
    );
  }
  return (
    <details>
      <summary>Another way</summary>
      <Faults />
      {list}
    </details>
  );
}

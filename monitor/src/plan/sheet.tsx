import { Fragment } from 'preact';
import type { Plan, Step } from '../../../shared/plan/types.ts';
import { clockText, dayText } from '../../../shared/plan/zone.ts';
import { unit } from '../state/prefs.ts';
import { localText, temperatureText } from '../words/temperature.ts';
import { amountWords } from './amounts.ts';
import { mass } from './state.ts';
import { bandText, dayHeading, sameDay, shortTime } from './when.ts';
import { canTick, oddsWords, tight, titleOf } from './words.ts';

/** The plan on paper: what hangs in the kitchen. On the screen it is not there. */
export function PrintedPlan({ plan }: { plan: Plan }) {
  if (plan.steps.length === 0) return null;
  const u = unit.value;
  const cautions = [...new Set([...plan.steps.flatMap((step) => step.cautions), ...plan.cautions])];
  return (
    <article class="plan-sheet" aria-hidden="true">
      <SheetHead plan={plan} />
      <table>
        <thead>
          <tr>
            <th scope="col" />
            <th scope="col">When</th>
            <th scope="col">What</th>
            <th scope="col">How and why</th>
          </tr>
        </thead>
        <tbody>
          {plan.steps.map((step, i) => {
            const before = plan.steps[i - 1];
            const newDay = !before || !sameDay(before.atMs, step.atMs, plan.zone);
            return (
              <Fragment key={step.id}>
                {newDay ? (
                  <tr class="day">
                    <th colSpan={4}>{dayHeading(step.atMs, step.atMs - 10 * 86_400_000, plan.zone)}</th>
                  </tr>
                ) : null}
                <SheetRow plan={plan} step={step} />
              </Fragment>
            );
          })}
        </tbody>
      </table>
      <h2>Mind</h2>
      <ul class="plan-sheet-mind">
        {cautions.map((caution) => (
          <li key={caution}>{localText(caution, u)}</li>
        ))}
      </ul>
      <h2>Taken for granted</h2>
      <p class="plan-sheet-given">
        {plan.defaults
          .filter((one) => one.field !== 'serve by')
          .map((one) => `${one.field} ${localText(one.value, u)}`)
          .join('; ')}
        .
      </p>
    </article>
  );
}

function SheetHead({ plan }: { plan: Plan }) {
  const u = unit.value;
  return (
    <header>
      <h1>{titleOf(plan)}</h1>
      <p>
        On the table <b>{dayText(plan.serveByMs, plan.zone)}</b>
        {plan.job.peopleCount === null ? '' : ` for ${plan.job.peopleCount}`}. Bath{' '}
        <b>{temperatureText(plan.bathC, u, 0)}</b>. {oddsWords(plan.oddsFraction)} ready in time.
      </p>
      <p class="plan-sheet-made">
        Planned {dayText(plan.madeAtMs, plan.zone)}; times of {plan.zone}. Arithmetic about meat nobody has
        measured: the fork and the thermometer decide.
      </p>
    </header>
  );
}

function SheetRow({ plan, step }: { plan: Plan; step: Step }) {
  const u = unit.value;
  const { big, rest } = amountWords(step, { unit: u, mass: mass.value });
  const dish = plan.dishes.find((one) => one.dishId === step.dishIds[0]);
  const span =
    step.kind === 'ready' && dish
      ? [dish.ready.p10Ms, dish.ready.p50Ms, dish.ready.p90Ms].map((ms) =>
          ms === null ? 'later' : shortTime(ms, step.atMs, plan.zone),
        )
      : null;
  const facts = span
    ? [`10 in 100 by ${span[0]}`, `50 by ${span[1]}`, `90 by ${span[2]}`]
    : [...(big ? [big] : []), ...rest, ...(step.bandMs ? [bandText(step.bandMs, plan.zone)] : [])];
  return (
    <tr class={step.who}>
      <td>{canTick(step) ? <span class="box" /> : null}</td>
      <td class="when">{clockText(step.atMs, plan.zone)}</td>
      <td>
        <b>{localText(step.title, u)}</b>
        <br />
        {tight(facts.join(', '))}
      </td>
      <td class="how">
        {step.who === 'person' ? localText(step.how, u) : ''} <i>{localText(step.why, u)}</i>
      </td>
    </tr>
  );
}

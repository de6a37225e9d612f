import { go } from '../state/view.ts';
import { own, planNowMs, plans } from './state.ts';
import { awayText, timeText } from './when.ts';
import { titleOf } from './words.ts';

/** Longer over than this, and a plan is history. */
const OVER_MS = 12 * 3_600_000;

/** Plans that are there already, on this phone or on the controller. */
export function KeptPlans() {
  const now = planNowMs.value;
  const here = own.value && own.value.plan.serveByMs > now - OVER_MS ? own.value : null;
  const there = (plans.value ?? []).filter(
    (one) => one.serveByMs > now - OVER_MS && one.planId !== here?.planId,
  );
  if (!here && there.length === 0) return null;
  const zone = Intl.DateTimeFormat().resolvedOptions().timeZone;
  const row = (planId: string, name: string, serveByMs: number, note: string) => (
    <li key={planId}>
      <button
        type="button"
        class="plan-open"
        data-test="plan-open"
        data-plan={planId}
        onClick={() => go('plan', planId)}
      >
        <b>{name}</b>
        <span>
          {timeText(serveByMs, now, zone)}, {awayText(serveByMs, now)}
        </span>
        <small>{note}</small>
      </button>
    </li>
  );
  return (
    <section aria-label="Plans" class="plan-list" data-test="plan-list">
      <h2>Plans</h2>
      <ul>
        {here ? row(here.planId, titleOf(here.plan), here.plan.serveByMs, 'only on this phone so far') : null}
        {there.map((one) =>
          row(
            one.planId,
            one.name,
            one.serveByMs,
            one.cookId ? `its cook was begun; kept by ${one.by}` : `kept by ${one.by}`,
          ),
        )}
      </ul>
      <h2>A new one</h2>
    </section>
  );
}

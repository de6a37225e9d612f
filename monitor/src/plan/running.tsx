import { signal } from '@preact/signals';
import type { Outlook } from '../../../shared/plan/reforecast.ts';
import type { Plan } from '../../../shared/plan/types.ts';
import type { Trouble } from '../command/send.ts';
import { status } from '../state/bath.ts';
import { unit } from '../state/prefs.ts';
import { TroubleBox } from '../view/parts.tsx';
import { localText } from '../words/temperature.ts';
import { fetchOutlook, wholeOutlook } from './api.ts';
import { BagsToGo } from './bags-to-go.tsx';
import { planNowMs } from './state.ts';
import { awayText, spanLine, timeText } from './when.ts';

/** The forecast is worked out anew about once a minute; asked for this often, so that a fork test shows soon. */
const ASK_AGAIN_MS = 3_000;

/** A forecast as the page shows it. */
export interface Forecast extends Outlook {
  readonly atMs: number;
}

const heard = signal<{ readonly planId: string; readonly forecast: Forecast } | null>(null);
const trouble = signal<Trouble | null>(null);

/** The forecast of the cook on that plan; null until one was heard. */
export function outlookOf(planId: string): Forecast | null {
  return heard.value?.planId === planId ? heard.value.forecast : null;
}

/** Asks for the forecast until it is told to stop. */
export function hearOutlook(planId: string): () => void {
  const askOnce = async () => {
    const answer = await fetchOutlook(planId);
    trouble.value = answer.ok ? null : answer.trouble;
    if (answer.ok && answer.value) {
      heard.value = { planId, forecast: { ...wholeOutlook(answer.value), atMs: answer.value.atMs } };
    }
  };
  void askOnce();
  const timer = setInterval(() => void askOnce(), ASK_AGAIN_MS);
  return () => clearInterval(timer);
}

interface RunningProps {
  readonly planId: string;
  /** As it was planned. */
  readonly plan: Plan;
  readonly outlook: Forecast | null;
}

/** The plan while its cook runs: what is now likely, what differs, what to do about it. */
export function Running({ planId, plan, outlook }: RunningProps) {
  return (
    <section class="plan-running" data-test="plan-running" aria-label="The plan now">
      <NowLikely plan={plan} outlook={outlook} />
      {trouble.value ? <TroubleBox trouble={trouble.value} /> : null}
      <BagsToGo planId={planId} />
      {outlook ? <Differs outlook={outlook} /> : null}
    </section>
  );
}

/** Each dish in one large line: "now likely ready 18:40 to 19:50". */
export function NowLikely({ plan, outlook }: { plan: Plan; outlook: Forecast | null }) {
  const now = planNowMs.value;
  const shown = outlook?.plan ?? plan;
  const many = shown.dishes.length > 1;
  const anyIn = status.value?.bags.some((bag) => bag.outAtMs === null) ?? false;
  return (
    <>
      {shown.dishes.map((dish) => {
        const name = shown.job.dishes.find((one) => one.dishId === dish.dishId)?.name ?? '';
        return (
          <p
            key={dish.dishId}
            class="plan-likely"
            data-test="plan-likely"
            data-dish={dish.dishId}
            data-p10={dish.ready.p10Ms ?? ''}
            data-p90={dish.ready.p90Ms ?? ''}
          >
            {many ? `${name}: ` : ''}
            {outlook ? 'now likely ready' : 'planned ready'}{' '}
            <b>{spanLine(dish.ready.p10Ms, dish.ready.p90Ms, now, shown.zone)}</b>
          </p>
        );
      })}
      <p class="help">
        {outlook
          ? `${anyIn ? '10 to 90 in 100, from what was measured' : 'Not in yet; from what was measured'}, ${awayText(outlook.atMs, now)}. ${localText(outlook.plan.words, unit.value)}`
          : 'The forecast from what is measured comes within a minute.'}
      </p>
    </>
  );
}

/** What differs from the plan, newest first. */
function Differs({ outlook }: { outlook: Forecast }) {
  if (outlook.changes.length === 0) return <p>Everything as planned so far.</p>;
  const { zone } = outlook.plan;
  const now = planNowMs.value;
  return (
    <>
      <h3>What differs from the plan</h3>
      <ul class="plan-changes">
        {[...outlook.changes].reverse().map((change) => (
          <li key={`${change.kind}/${change.sinceMs}`} data-test="plan-change-seen" data-kind={change.kind}>
            <time>{timeText(change.sinceMs, now, zone)}</time> {localText(change.words, unit.value)}
          </li>
        ))}
      </ul>
    </>
  );
}

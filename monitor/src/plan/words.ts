import { dishNames } from '../../../shared/plan/names.ts';
import type { Offer, Plan, Step } from '../../../shared/plan/types.ts';
import type { PlanForm } from '../../../shared/wire/plan.ts';

/** Names of the dishes that the plan is for, each once: `Lamb shoulder, pork neck`. One left out of it is not named. */
export function titleOf(plan: Plan): string {
  const out = new Set(plan.conflicts.map((conflict) => conflict.dishId));
  return dishNames(plan.job.dishes.filter((dish) => !out.has(dish.dishId))) || 'Plan';
}

/** The same without the figure that stands large beside it. */
export function bareTitle(title: string, big: string | null): string {
  const number = big?.split(' ')[0];
  const [bare = title, tail] = title.split(/: (?=[^:]*$)/);
  return number && tail?.startsWith(number) ? bare : title;
}

/** Odds as a cook would say them. */
export function oddsWords(fraction: number): string {
  const hundred = Math.round(100 * fraction);
  return hundred < 1 ? 'hardly any chance' : `${Math.min(99, hundred)} in 100`;
}

/** A text at the beginning of a sentence. */
export const capital = (text: string) => text.charAt(0).toUpperCase() + text.slice(1);

/** Keeps a number and its unit on one line. */
export const tight = (text: string) =>
  text.replace(/(\d) (?=(?:g|kg|lb|oz|h|min|L|mm|in|W|kWh|bags?|°[CF]|%)(?![a-z]))/g, '$1\u00a0');

/** Whether a person can tick it off: what happens of itself, and the limits, cannot be done. */
export function canTick(step: Step): boolean {
  return step.who === 'person' && step.kind !== 'latest-start';
}

/** The form of a plan with what an offer changes. */
export function offeredForm(form: PlanForm, plan: Plan, change: Offer['change']): PlanForm {
  const { thicknessMm, serveByMs, filmId, fillC, lidOn, waterLitres, night, bathC, serveFrom } = change;
  const rig = {
    ...form.rig,
    ...(filmId === undefined ? {} : { filmId }),
    ...(fillC === undefined ? {} : { fillC }),
    ...(lidOn === undefined ? {} : { lidOn }),
    ...(waterLitres === undefined ? {} : { waterLitres }),
  };
  return {
    ...form,
    // The planner may have chosen a later day: what is offered is offered for that one.
    serveBy: serveByMs ?? plan.serveByMs,
    dishes: thicknessMm === undefined ? form.dishes : thinned(form, plan, thicknessMm),
    ...(bathC === undefined ? {} : { bathC }),
    ...(serveFrom === undefined ? {} : { serveFrom }),
    ...(night === null ? { night: null } : {}),
    ...(Object.keys(rig).length > 0 ? { rig } : {}),
  };
}

/** The thickest dish in thinner pieces. */
function thinned(form: PlanForm, plan: Plan, thicknessMm: number): PlanForm['dishes'] {
  const { dishes } = plan.job;
  const thickest = dishes.reduce((a, b) => (b.thicknessMm > a.thicknessMm ? b : a));
  return form.dishes.map((dish, i) => (dishes[i] === thickest ? { ...dish, thicknessMm } : dish));
}

/** First sentences of a reason, for the card that is read from afar. */
export function briefly(text: string, most = 150): string {
  const sentences = text.split(/(?<=[.!?]) (?=[A-Z0-9])/);
  let brief = sentences[0] ?? '';
  for (const sentence of sentences.slice(1)) {
    if (brief.length + sentence.length > most) break;
    brief += ` ${sentence}`;
  }
  return brief;
}

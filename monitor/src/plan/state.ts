/** The plan on the screen: what is being typed, what was worked out here, what the controller keeps. */
import { computed, effect, signal } from '@preact/signals';
import { PlanFault } from '../../../shared/plan/fault.ts';
import { askedOf, type Known, wholePlan } from '../../../shared/plan/form.ts';
import { planBackwards } from '../../../shared/plan/plan.ts';
import type { Plan } from '../../../shared/plan/types.ts';
import type { PlanForm, PlanSummary, StoredPlan } from '../../../shared/wire/plan.ts';
import { newId, type Trouble } from '../command/send.ts';
import { controllerMs, installation, nowMs } from '../state/bath.ts';
import { unit } from '../state/prefs.ts';
import { pageNow } from '../stream/browser-world.ts';
import { fetchKnown, fetchPlan, fetchPlans } from './api.ts';
import { type DishDraft, emptyDraft, inMass, type PlanDraft } from './draft.ts';
import type { MassUnit } from './measures.ts';
import { recall, remember } from './memory.ts';
import { chosenMass } from './scale.ts';

/** Weights go with temperatures until somebody chooses. */
export const mass = computed<MassUnit>(() => chosenMass.value ?? (unit.value === 'F' ? 'lb' : 'kg'));

/** The zone of this phone. */
export const phoneZone = Intl.DateTimeFormat().resolvedOptions().timeZone;

/** What the controller plans with, when that was heard, and why it was not. */
const heard = signal<{ readonly known: Known; readonly atMs: number } | null>(null);
export const knownTrouble = signal<Trouble | null>(null);
export const known = computed(() => heard.value?.known ?? null);

/** The clock that plans go by: the controller's, which in a demonstration runs faster; else this phone's. */
export const planNowMs = computed(() => {
  const from = heard.value;
  if (controllerMs.value !== null) return controllerMs.value;
  if (!from) return Date.now() + 0 * nowMs.value;
  return from.known.nowMs + (nowMs.value - from.atMs) * (installation.value?.speed ?? 1);
});

/** Asks the controller what it plans with. */
export async function hearKnown(): Promise<void> {
  const answer = await fetchKnown();
  knownTrouble.value = answer.ok ? null : answer.trouble;
  if (answer.ok) heard.value = { known: answer.value, atMs: pageNow() };
}

/** A plan worked out in this page, kept on this phone until the controller has it. */
export interface OwnPlan {
  readonly planId: string;
  readonly form: PlanForm;
  readonly plan: Plan;
  /** Of the stored plan that this one changes; null for a new one. */
  readonly revision: number | null;
  /** Time the planner took here. */
  readonly tookMs: number;
}

/** A plan that another version of the page left here may have another form: it is dropped. */
function recalled(): OwnPlan | null {
  const found = recall<OwnPlan>('plan');
  return Array.isArray(found?.plan?.steps) && found.plan.job?.rig ? found : null;
}

export const own = signal<OwnPlan | null>(recalled());
effect(() => remember('plan', own.value));

/** What the controller keeps of the plan in view. */
export const stored = signal<StoredPlan | null>(null);
export const plans = signal<readonly PlanSummary[] | null>(null);
export const faults = signal<readonly string[]>([]);
export const draft = signal<PlanDraft>(emptyDraft(unit.value, mass.value, phoneZone));
/** The plan that the form changes; null: a new one. */
export const changing = signal<{ readonly planId: string; readonly revision: number | null } | null>(null);

/** Changes a part of what is typed. */
export function type(part: Partial<PlanDraft>): void {
  faults.value = [];
  draft.value = { ...draft.value, ...part };
}

/** Changes a part of one dish. */
export function typeDish(key: number, part: Partial<DishDraft>): void {
  type({ dishes: draft.value.dishes.map((dish) => (dish.key === key ? { ...dish, ...part } : dish)) });
}

/** Changes the unit of weights; what was typed is turned into it. */
export function takeMass(next: MassUnit): void {
  chosenMass.value = next;
  type(inMass(draft.value, next));
}

/** Begins a new plan. */
export function newDraft(): void {
  changing.value = null;
  faults.value = [];
  draft.value = emptyDraft(unit.value, mass.value, draft.value.zone);
}

/** Plans a form in this page; the faults where it cannot be. Gives the plan's id. */
export function planHere(form: PlanForm): string | null {
  const from = known.value;
  if (!from) return null;
  const begun = performance.now();
  try {
    const plan = planBackwards(askedOf(form, { ...from, nowMs: Math.round(planNowMs.value) }));
    const tookMs = performance.now() - begun;
    const planId = changing.value?.planId ?? newId('plan');
    own.value = { planId, form, plan, revision: changing.value?.revision ?? null, tookMs };
    faults.value = [];
    return planId;
  } catch (error) {
    if (!(error instanceof PlanFault)) throw error;
    faults.value = error.faults;
    return null;
  }
}

/** Runs that leave the planner compiled, and the pause between them: long enough for a touch to be answered, ms. */
const WARM_RUNS = 4;
const WARM_PAUSE_MS = 250;

/**
 * Plans a small meal a few times while the form is filled in, so that the first real plan does not wait for the browser
 * to compile the planner. What comes out is thrown away. Gives the way to stop it.
 */
export function warmPlanner(): () => void {
  let left = WARM_RUNS;
  let timer = setTimeout(again, WARM_PAUSE_MS);
  function again(): void {
    const from = known.value;
    if (from) {
      const { nowMs } = from;
      const dishes = [
        { cut: 'lamb-shoulder', massKg: 2 },
        { cut: 'pork-neck', massKg: 1 },
      ];
      left -= 1;
      try {
        planBackwards(askedOf({ serveBy: nowMs + 76 * 3.6e6, zone: from.zone, dishes }, from));
      } catch (error) {
        // What is wrong with the rig is told when somebody asks for a plan.
        if (!(error instanceof PlanFault)) throw error;
        return;
      }
    }
    if (left > 0) timer = setTimeout(again, WARM_PAUSE_MS);
  }
  return () => clearTimeout(timer);
}

/** What is shown for a plan's id. */
export interface Shown {
  readonly planId: string;
  readonly form: PlanForm;
  readonly plan: Plan;
  readonly revision: number | null;
  /** Null: the controller does not keep it, or not as it is here. */
  readonly kept: StoredPlan | null;
  readonly tookMs: number | null;
}

/** The plan of that id: as worked out here where that is newer, else as the controller keeps it. */
export function shownOf(planId: string): Shown | null {
  const here = own.value?.planId === planId ? own.value : null;
  const there = stored.value?.planId === planId ? stored.value : null;
  if (here) return { ...here, kept: null };
  if (!there) return null;
  const { form, revision } = there;
  return { planId, form, plan: wholePlan(there), revision, kept: there, tookMs: null };
}

/** Takes a plan as the controller has it; what was worked out here of it is done with. */
export function takeStored(plan: StoredPlan): void {
  stored.value = plan;
  if (own.value?.planId === plan.planId) own.value = null;
  if (changing.value?.planId === plan.planId) changing.value = null;
}

/** Fetches a plan that another phone may have changed. */
export async function hearPlan(planId: string): Promise<Trouble | null> {
  const answer = await fetchPlan(planId);
  if (!answer.ok) return answer.trouble;
  stored.value = answer.value;
  return null;
}

/** Fetches the list of plans. */
export async function hearPlans(): Promise<void> {
  const answer = await fetchPlans();
  if (answer.ok) plans.value = answer.value;
}

/** From a job as it was entered on a phone to what is asked of the plan. */
import type { Belief } from '../tender/belief.ts';
import type { PlanForm, StoredPlan } from '../wire/plan.ts';
import type { JobAsked } from './complete.ts';
import type { Rig } from './rig.ts';
import { changedRig } from './rig-view.ts';
import type { Plan } from './types.ts';

/** What the controller knows that a form does not say. */
export interface Known {
  readonly nowMs: number;
  /** Zone of the kitchen, IANA name. */
  readonly zone: string;
  readonly rig: Rig;
  readonly profileId: string;
  readonly beliefs: Readonly<Record<string, Belief>>;
}

/** The job that a form asks for, with what the controller knows of rig, rules and earlier cooks. */
export function askedOf(form: PlanForm, known: Known): JobAsked {
  const { name: _name, rig, zone, ...said } = form;
  return {
    ...said,
    zone,
    nowMs: known.nowMs,
    rig: rig ? changedRig(known.rig, rig) : known.rig,
    profileId: known.profileId,
    beliefs: known.beliefs,
  };
}

/** A kept plan in its whole form: it was computed by this code, the wire names only what every reader relies on. */
export function wholePlan(stored: Pick<StoredPlan, 'plan'>): Plan {
  return stored.plan as unknown as Plan;
}

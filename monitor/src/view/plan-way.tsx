import { useEffect } from 'preact/hooks';
import { controllerMs, cookRunning, status } from '../state/bath.ts';
import { findPlanAtHand, planAtHand } from '../state/plan-at-hand.ts';
import { go } from '../state/view.ts';
import { Lazy } from './lazy.tsx';
import { Button } from './parts.tsx';

const card = () => import('../plan/card.tsx').then((part) => part.PlanCard);

/** How often another phone's plan is looked for, ms. */
const LOOK_AGAIN_MS = 10_000;

/** The plan at hand on the first screen, and the way to a new one. */
export function PlanWay() {
  const cookId = cookRunning.value ? (status.value?.cook?.cookId ?? null) : null;
  useEffect(() => {
    const look = () => void findPlanAtHand(cookId, controllerMs.peek() ?? Date.now());
    look();
    const timer = setInterval(look, LOOK_AGAIN_MS);
    return () => clearInterval(timer);
  }, [cookId]);
  return (
    <>
      {planAtHand.value === null ? null : <Lazy key="plan-card" load={card} />}
      {cookId === null ? (
        <Button test="go-plan" onPress={() => go('plan')}>
          Plan a meal
        </Button>
      ) : null}
    </>
  );
}

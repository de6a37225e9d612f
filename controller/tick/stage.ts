import type { CookStage } from '../../shared/wire/status.ts';
import { LOWEST_HOT_LIMIT_C } from './limits.ts';
import type { CookState } from './state.ts';
import { tell, type Work } from './work.ts';

/** The water counts as at the setpoint within this. */
const AT_SETPOINT_C = 0.5;
/** ... once it has stayed there this long. */
const SETTLED_S = 60;

const WORDS: Record<CookStage, string> = {
  heating: 'The bath is heating.',
  'ready-for-food': 'The bath is ready for food.',
  'food-in': 'Food is in and coming up.',
  holding: 'Every core is over 54.4 °C in the slowest case; holding.',
  'taken-out': 'The food is out.',
};

/** Follows the life of a cook: heating, ready for food, food in, holding, taken out. */
export function followCook(work: Work, celsius: number | null): void {
  const { cook } = work.next;
  if (!cook || cook.endedAtMs !== null) return;
  const near = celsius !== null && Math.abs(celsius - cook.setpointC) <= AT_SETPOINT_C;
  const atSetpointS = near ? Math.min(1e6, cook.atSetpointS + work.dtS) : 0;
  const reached = cook.reached || near;
  const stage = stageOf(work, cook, atSetpointS);
  work.next.cook = { ...cook, stage, atSetpointS, reached };
  if (stage === cook.stage) return;
  work.cookChanged = true;
  tell(work, 'stage', WORDS[stage], { from: cook.stage, to: stage });
}

function stageOf(work: Work, cook: CookState, atSetpointS: number): CookStage {
  const inside = work.next.bags.filter((bag) => bag.outAtMs === null);
  if (inside.length > 0) {
    return inside.every((bag) => bag.estimate.core.lowC >= LOWEST_HOT_LIMIT_C) ? 'holding' : 'food-in';
  }
  if (work.next.bags.length > 0) return 'taken-out';
  if (cook.stage === 'ready-for-food') return 'ready-for-food';
  return atSetpointS >= SETTLED_S ? 'ready-for-food' : 'heating';
}

import type { Finding } from '../alarm/step.ts';
import type { Context } from './context.ts';
import { checkHigh, checkLow } from './deviation.ts';
import { checkFoodLimit } from './food-limit.ts';
import { checkHeatLink } from './heat-link.ts';
import { checkHotLimit } from './hot-limit.ts';
import { checkJournal } from './journal.ts';
import { checkLoad } from './load.ts';
import { checkOverTemperature } from './over-temperature.ts';
import { checkProbe } from './probe.ts';
import { checkRestarted } from './restarted.ts';

/** Every check, in the order in which their words take precedence when several forbid heat. */
export const CHECKS: readonly ((context: Context) => Finding)[] = [
  checkOverTemperature,
  checkProbe,
  checkHeatLink,
  checkJournal,
  checkHigh,
  checkHotLimit,
  checkLow,
  checkFoodLimit,
  checkRestarted,
  checkLoad,
];

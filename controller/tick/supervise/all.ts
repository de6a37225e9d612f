import type { Finding } from '../alarm/step.ts';
import { checkAfloat } from './afloat.ts';
import { checkHigh } from './bath-high.ts';
import { checkLow } from './bath-low.ts';
import { checkChannels } from './channels.ts';
import { checkCirculation } from './circulation.ts';
import { checkClockStepped } from './clock-stepped.ts';
import type { Context } from './context.ts';
import { checkCoolingReading } from './cooling-reading.ts';
import { checkFoodLimit } from './food-limit.ts';
import { checkHeatLink } from './heat-link.ts';
import { checkHotLimit } from './hot-limit.ts';
import { checkJournal } from './journal.ts';
import { checkLease } from './lease.ts';
import { checkLevelSwitch } from './level-switch.ts';
import { checkLoad } from './load.ts';
import { checkLogBegunAnew } from './log-begun-anew.ts';
import { checkLogDamaged } from './log-damaged.ts';
import { checkLogUnproved } from './log-unproved.ts';
import { checkLossHigh } from './loss-high.ts';
import { checkNoRise } from './no-rise.ts';
import { checkNotStopping } from './not-stopping.ts';
import { checkOverSetpoint } from './over-setpoint.ts';
import { checkOverTemperature } from './over-temperature.ts';
import { checkPresenceDue } from './presence-due.ts';
import { checkPresenceLapsed } from './presence-lapsed.ts';
import { checkProbe } from './probe.ts';
import { checkProbeFailing } from './probe-failing.ts';
import { checkProbeJumping } from './probe-jumping.ts';
import { checkProbeOut } from './probe-out.ts';
import { checkProbeStuck } from './probe-stuck.ts';
import { checkProbesDisagree } from './probes-disagree.ts';
import { checkReachable } from './reachable.ts';
import { checkReadingStep } from './reading-step.ts';
import { checkRestarted } from './restarted.ts';
import { checkRigDrift } from './rig-drift.ts';
import { checkRising } from './rising.ts';
import { checkSecondProbe } from './second-probe.ts';
import { checkSwitchWelded } from './switch-welded.ts';
import { checkTickLate } from './tick-late.ts';
import { checkUnanswered } from './unanswered.ts';
import { checkUnattended } from './unattended.ts';
import { checkWaterLow } from './water-low.ts';
import { checkWaterLowSoon } from './water-low-soon.ts';

/** Every check, in the order in which their words take precedence when several forbid heat. */
export const CHECKS: readonly ((context: Context) => Finding)[] = [
  checkNotStopping,
  checkOverTemperature,
  checkSwitchWelded,
  checkRising,
  checkOverSetpoint,
  checkWaterLow,
  checkProbe,
  checkProbeOut,
  checkProbeJumping,
  checkProbeStuck,
  checkUnanswered,
  checkNoRise,
  checkHeatLink,
  checkLease,
  checkJournal,
  checkPresenceLapsed,
  checkHigh,
  checkReadingStep,
  checkProbesDisagree,
  checkHotLimit,
  checkLow,
  checkLossHigh,
  checkCirculation,
  checkWaterLowSoon,
  checkAfloat,
  checkProbeFailing,
  checkSecondProbe,
  checkLevelSwitch,
  checkPresenceDue,
  checkUnattended,
  checkTickLate,
  checkFoodLimit,
  checkCoolingReading,
  checkRestarted,
  checkLogDamaged,
  checkLogBegunAnew,
  checkLogUnproved,
  checkRigDrift,
  checkClockStepped,
  checkReachable,
  checkChannels,
  checkLoad,
];

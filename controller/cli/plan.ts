import { PlanFault } from '../../shared/plan/fault.ts';
import { planBackwards } from '../../shared/plan/plan.ts';
import { rigAnswer } from '../../shared/plan/rig.ts';
import { boxOf } from '../../shared/plan/rig-view.ts';
import { boxTakes } from '../../shared/plan/room.ts';
import { loadConfig } from './config-file.ts';
import { flagFault } from './flags.ts';
import type { CliIo, Verb } from './io.ts';
import { withIso } from './iso.ts';
import { PLAN_HELP, parsePlanFlags, readPlanFlags } from './plan-flags.ts';
import type { ConfiguredRig } from './plan-rig.ts';
import { planText, rigText } from './plan-text.ts';

/** The verb `plan`: a job planned backwards from the table, or whether a box will do it. */
export const planVerb: Verb = async (argv, io) => {
  let parsed: ReturnType<typeof parsePlanFlags>;
  try {
    parsed = parsePlanFlags(argv);
  } catch (error) {
    io.err(flagFault(error, 'plan'));
    return 2;
  }
  const { values, positionals } = parsed;
  if (values.help) {
    io.out(PLAN_HELP);
    return 0;
  }
  const configured = configuredRig(io);
  if (configured === 'faulty') return 2;
  try {
    const wanted = readPlanFlags(values, positionals, Date.now(), configured);
    if (wanted.kind === 'box') {
      const { rig, bathC, hours, price, bagKg } = wanted;
      const answer = rigAnswer(rig, bathC, hours, price);
      const takes = boxTakes(rig, bagKg, bathC);
      io.out(values.json ? `${JSON.stringify({ ...answer, bags: takes })}\n` : rigText(answer, takes));
      return 0;
    }
    const plan = planBackwards(wanted.asked);
    const named = { ...plan, defaults: [...wanted.named, ...plan.defaults] };
    io.out(values.json ? `${JSON.stringify(withIso(named, plan.zone))}\n` : planText(named));
    return 0;
  } catch (error) {
    if (!(error instanceof PlanFault || error instanceof RangeError)) throw error;
    const faults = error instanceof PlanFault ? error.faults : [error.message];
    io.err(faults.map((fault) => `bathkeeper plan: ${fault}\n`).join(''));
    return 2;
  }
};

/** The rig of the configuration, where there is one. */
function configuredRig(io: CliIo): ConfiguredRig | 'faulty' {
  const loaded = loadConfig(undefined, process.env.BATHKEEPER_CONFIG);
  if (!loaded.ok) {
    io.err(`${loaded.message}\n`);
    return 'faulty';
  }
  return {
    box: boxOf(loaded.config),
    said: loaded.from !== 'the defaults',
    dataDir: loaded.config.dataDir,
  };
}

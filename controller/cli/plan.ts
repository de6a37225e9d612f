import { PlanFault } from '../../shared/plan/fault.ts';
import { planBackwards } from '../../shared/plan/plan.ts';
import { rigAnswer } from '../../shared/plan/rig.ts';
import { loadConfig } from './config-file.ts';
import { flagFault } from './flags.ts';
import type { CliIo, Verb } from './io.ts';
import { withIso } from './iso.ts';
import { type ConfiguredBath, PLAN_HELP, parsePlanFlags, readPlanFlags } from './plan-flags.ts';
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
  const configured = configuredBath(io);
  if (configured === 'faulty') return 2;
  try {
    const wanted = readPlanFlags(values, positionals, Date.now(), configured);
    if (wanted.kind === 'box') {
      const answer = rigAnswer(wanted.rig, wanted.bathC, wanted.hours, wanted.price);
      io.out(values.json ? `${JSON.stringify(answer)}\n` : rigText(answer));
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

/** Litres and watts of the configuration, where there is one. */
function configuredBath(io: CliIo): ConfiguredBath | null | 'faulty' {
  const loaded = loadConfig(undefined, process.env.BATHKEEPER_CONFIG);
  if (!loaded.ok) {
    io.err(`${loaded.message}\n`);
    return 'faulty';
  }
  return loaded.from === 'the defaults' ? null : loaded.config.bath;
}

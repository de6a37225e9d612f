import type { Context } from '../../controller/tick/supervise/context.ts';

/** A check with its threshold moved: it is shown another state of things than there is. */
export interface Loosened {
  readonly moved: string;
  readonly shown: (context: Context) => Context;
}

/** Another temperature. */
const byC = (degrees: number): Loosened => ({
  moved: `its limit off by ${Math.abs(degrees)} °C`,
  shown: (context) => {
    const { celsius } = context.sense;
    return { ...context, sense: { ...context.sense, celsius: celsius === null ? null : celsius + degrees } };
  },
});

/** A rig that warmed otherwise by so much when it was identified. */
const driftBy = (share: number): Loosened => ({
  moved: `its limit off by ${100 * share} %`,
  shown: (context) => {
    const { rig } = context.state;
    const firstRate = rig.firstRate === null ? null : rig.firstRate * (1 + share);
    return { ...context, state: { ...context.state, rig: { ...rig, firstRate } } };
  },
});

/** A core that is so much less behind. */
const behindBy = (degrees: number): Loosened => ({
  moved: `its limit off by ${degrees} °C`,
  shown: (context) => {
    const bags = context.state.bags.map((bag) => {
      const { measured, estimate } = bag;
      const far = measured?.celsius != null && measured.celsius < estimate.core.lowC - degrees;
      const flags = measured?.flags.filter((flag) => far || flag !== 'below-worst-case') ?? [];
      return measured === null ? bag : { ...bag, measured: { ...measured, flags } };
    });
    return { ...context, state: { ...context.state, bags } };
  },
});

/** The same kind of fault must fail with the check so loosened. */
export const LOOSENED: Readonly<Record<string, Loosened>> = {
  checkOverTemperature: byC(-6),
  checkOverSetpoint: byC(-6),
  checkHigh: byC(-6),
  checkLow: byC(10),
  checkHotLimit: byC(6),
  checkRigDrift: driftBy(0.3),
  checkAfloat: behindBy(5),
};

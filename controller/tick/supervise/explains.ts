import type { Command } from '../../../shared/wire/command.ts';
import { WATER_J_PER_L_K } from '../control/identify/rig.ts';
import type { Work } from '../work.ts';

/** Specific heat of meat, J/(kg K), at the high end: lean and wet (Choi & Okos). */
const MEAT_J_KG_K = 3700;
/** Food that nobody weighed is at most this share of the bath, kg a litre. */
const UNWEIGHED_KG_L = 0.25;
/** Water from a tap whose temperature nobody told, and food that nobody described, degC. */
const COLDEST_C = 3;
/** Litres, kilograms and degrees are told by hand, and a lid is off meanwhile: so much more may come of it. */
const FACTOR = 1.1;
const LID_C = 0.2;
/** What was done so long before or after the reading fell has nothing to do with it, s. */
const APART_S = 600;

/**
 * By how much the reading may have fallen by what a person says was done to the bath, degC; null where the command says
 * nothing about food or water. Who says that a jug was poured in explains a jug, and no probe that hangs in the air.
 */
export function explainsC(work: Work, command: Command): number | null {
  const { settings, clockS, watch, lastGood } = work.next;
  const { fall } = watch;
  const waterC = fall.fellC > 0 ? fall.fromC : (lastGood?.celsius ?? 0);
  const isOf = (agoS: number) => Math.abs(clockS - agoS - fall.atS) < APART_S;
  const bathJK = settings.litres * WATER_J_PER_L_K;
  const mixedC = (loadJK: number, loadC: number) =>
    LID_C + (FACTOR * loadJK * Math.max(0, waterC - loadC)) / (bathJK + loadJK);
  switch (command.kind) {
    case 'start-cook':
      // The bath may have been emptied and filled since; only somebody who has looked knows that the probe hangs in it.
      return command.atBath === true ? Number.POSITIVE_INFINITY : 0;
    case 'topped-up':
      return !isOf(0) ? 0 : mixedC(command.litres * WATER_J_PER_L_K, command.celsius ?? COLDEST_C);
    case 'bag-in': {
      if (!isOf(command.agoS)) return 0;
      const { massKg, startC } = command.bag;
      return mixedC((massKg ?? UNWEIGHED_KG_L * settings.litres) * MEAT_J_KG_K, startC);
    }
    case 'answer-load':
      return command.foodIn ? mixedC(UNWEIGHED_KG_L * settings.litres * MEAT_J_KG_K, COLDEST_C) : null;
    case 'edit-bag':
    case 'bag-out':
      return 0;
    default:
      return null;
  }
}

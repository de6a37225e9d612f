/** Steps until the food is in: cure, rinse, bag, bath on, food in, a look. */

import { FRIDGE_LIMITS } from '../cure/fridge.ts';
import { cureWith } from './cure-with.ts';
import { type Course, type Frame, oddsShort } from './frame.ts';
import { inText } from './names.ts';
import { gramsOf, round, stepOf } from './step.ts';
import type { Step } from './types.ts';
import { baggingS, RINSE_S } from './usual.ts';
import { clockText } from './zone.ts';

const HEAT_CAUTIONS = [
  'Mains and water: RCD/GFCI tested today, protective earth on all metal, a drip loop in each cable. Anything wired in is for somebody licensed where your code says so.',
  'Water over the element and the probe before it is switched on.',
  'Hot water scalds: box on firm ground, lid secured, children and pets away.',
];

/** Cure, rinse and bagging of every course, the bath, and the food going in. */
export function stepsBefore(frame: Frame): Step[] {
  return [
    ...frame.courses.flatMap((course) => [...cureSteps(frame, course), bagStep(frame, course)]),
    ...bathSteps(frame),
    ...frame.schedule.batches.flatMap((_, i) => inSteps(frame, i)),
  ];
}

function cureSteps({ job }: Frame, { dish, cure, cureStartMs, massKg, baggedMs }: Course): Step[] {
  if (!cure || cureStartMs === null) return [];
  const packed = cure.method === 'packed';
  const beside = cureWith(dish.cure, cure);
  const hours = round(cure.fridgeS / 3600, cure.fridgeS < 36_000 ? 1 : 0);
  const steps: Step[] = [
    stepOf(job, {
      kind: 'cure',
      key: dish.dishId,
      dishIds: [dish.dishId],
      title: packed ? `Pack ${inText(dish)} in salt` : `Salt ${inText(dish)}: ${Math.round(cure.saltG)} g`,
      atMs: cureStartMs,
      amounts: {
        meatG: gramsOf(massKg),
        saltG: round(packed ? cure.packG : cure.saltG),
        sugarG: round(cure.sugarG),
        fridgeH: hours,
        fridgeC: cure.fridgeC,
        ...beside.amounts,
      },
      how: packed
        ? `Weigh the meat. Rub in and cover it with ${Math.round(cure.packG)} g of salt, on a rack over a tray, ${hours} h at 2 to 4 C.${beside.afterwards}`
        : `Weigh the meat, weigh ${Math.round(cure.saltG)} g of salt${cure.sugarG > 0 ? ` and ${Math.round(cure.sugarG)} g of sugar` : ''}${beside.weigh}, rub all of it in evenly, into the bag or a covered dish, ${hours} h at 2 to 4 C, turn it once.${beside.afterwards}`,
      why: cure.depth.words,
      source: [...cure.sources, ...beside.sources].join('; '),
      cautions: [...cure.cautions.map((c) => c.words), ...cure.warnings, ...beside.cautions],
    }),
  ];
  if (packed) {
    steps.push(
      stepOf(job, {
        kind: 'rinse',
        key: dish.dishId,
        dishIds: [dish.dishId],
        title: `Rinse ${inText(dish)}, taste a slice, pat dry`,
        atMs: baggedMs - 1000 * (baggingS(dish.piecesCount) + RINSE_S),
        how: cure.rinse,
        why: 'Loose salt would go on into the meat in the bag.',
        cautions: cure.cautions.map((c) => c.words),
      }),
    );
  }
  return steps;
}

function bagStep({ job, room }: Frame, { dish, plan, baggedMs }: Course): Step {
  const { bag } = plan;
  return stepOf(job, {
    kind: 'bag',
    key: dish.dishId,
    dishIds: [dish.dishId],
    title: `Bag ${inText(dish)}: ${dish.piecesCount === 1 ? 'one bag' : `${dish.piecesCount} bags`}`,
    atMs: baggedMs - 1000 * baggingS(dish.piecesCount),
    amounts: {
      bagsCount: dish.piecesCount,
      ballastEachG: Math.ceil(bag.ballastTakeKg * 20) * 50,
      seamAboveFloorMm: Math.round(room.seamAboveMm),
      foodUnderFloorMm: Math.floor(room.lowestPredictedMm),
      thicknessMm: dish.thicknessMm,
    },
    how: bag.steps.map((step) => `${step.title}. ${step.how}`).join(' '),
    why: 'Air keeps heat away and lifts the bag; a bag that floats is cold on top. Measure the filled bag at its thickest now and enter it if it differs.',
    cautions: ['Raw garlic or herbs in oil do not belong in a sealed bag: C. botulinum. Use dried.'],
  });
}

function bathSteps({ job, schedule, bathC, room, courses, kitchen }: Frame): Step[] {
  const { bathOnMs, heatUp } = schedule;
  const dishIds = courses.map(({ dish }) => dish.dishId);
  const band: [number, number] = [bathOnMs + 1000 * heatUp.lowS, bathOnMs + 1000 * heatUp.highS];
  const watts = Math.round(kitchen.balance.watts);
  return [
    stepOf(job, {
      kind: 'bath-on',
      dishIds,
      title: `Bath on: ${bathC} C`,
      atMs: bathOnMs,
      amounts: {
        waterLitres: room.pourLitres,
        fillC: job.rig.fillC,
        setpointC: bathC,
        heatUpMin: Math.round(heatUp.middleS / 60),
      },
      how: `Pour in ${room.pourLitres} L, pump on, lid ${job.rig.lidOn ? 'on' : 'off'}, heat on. With the bags in the water will stand ${Math.round(room.levelMm)} mm high.`,
      why: `${watts} W take ${Math.round(heatUp.lowS / 60)} to ${Math.round(heatUp.highS / 60)} min from ${round(job.rig.fillC)} C; begun so early that it is surely hot when the food goes in. Food never warms up with the bath.`,
      source: 'heat balance of the rig; preheated bath: New Zealand food control plan template',
      cautions: [...HEAT_CAUTIONS, ...room.faults],
    }),
    stepOf(job, {
      kind: 'bath-hot',
      who: 'physics',
      dishIds,
      title: `Bath at ${bathC} C`,
      atMs: bathOnMs + 1000 * heatUp.middleS,
      bandMs: band,
      how: 'Wait for it before any food goes in.',
      why: `99 % of rigs of this description are there between ${clockText(band[0], job.zone)} and ${clockText(band[1], job.zone)}.`,
      source: 'heat balance of the rig',
    }),
  ];
}

function inSteps(frame: Frame, index: number): Step[] {
  const { job, schedule, courses, bathC } = frame;
  const batch = schedule.batches[index]!;
  const inBatch = courses.filter(({ dish }) => batch.dishes.includes(dish));
  const dishIds = inBatch.map(({ dish }) => dish.dishId);
  const names = inBatch.map(({ dish }) => inText(dish)).join(', ');
  const key = dishIds.join('+');
  const bags = inBatch.reduce((sum, { dish }) => sum + dish.piecesCount, 0);
  const cold = inBatch.every(({ dish }) => dish.startC <= FRIDGE_LIMITS.codeMaxC);
  const moved = index === 0 ? schedule.movedFromMs : null;
  const night =
    moved === null
      ? ''
      : ` At ${clockText(moved, job.zone)} it would be early enough; it goes in before the night so that nobody has to get up.`;
  return [
    stepOf(job, {
      kind: 'food-in',
      key,
      dishIds,
      title: `Food in: ${names}`,
      atMs: batch.inMs,
      amounts: { bagsCount: bags, setpointC: bathC },
      how: `${cold ? 'Cold from the fridge straight' : 'At once'} into the hot bath, all bags at once, spread so that water moves round each, lid on again. Enter each bag.`,
      why: oddsShort(frame)
        ? `The sooner the better: for the odds you asked for (${Math.round(100 * job.oddsFraction)} %) it would have to be in already.`
        : `So early that the odds of being ready in time are what you asked for (${Math.round(100 * job.oddsFraction)} %).${night}`,
      source: 'softening by class of cut, come-up by conduction: see likely ready',
      cautions: ['Hot water: tongs and dry gloves, heater off or unplugged before hands go in.'],
    }),
    stepOf(job, {
      kind: 'look',
      key,
      dishIds,
      title: 'Look: all under, nothing leaks, water moves',
      atMs: batch.inMs + 20 * 60_000,
      how: 'Every part with food in it under water, every seam above, no bubbles at a seam, the pump running. A bag that floats: steel on it, or press its air out. Water in a bag, or one that swells more than warm air explains: take it out; once bath water has been in with the food, throw it away.',
      why: 'Air swells as it warms: what sank cold may float hot.',
    }),
  ];
}

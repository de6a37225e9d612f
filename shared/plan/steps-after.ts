/** Steps from the bath to the table; by way of ice and fridge where it is cooked before. */

import { floorGrain } from './batches.ts';
import { keepWords } from './chill.ts';
import { type Course, type Frame, oddsShort } from './frame.ts';
import { inText } from './names.ts';
import { rigHeatUp } from './rig.ts';
import { gramsOf, round, stepOf } from './step.ts';
import type { Step } from './types.ts';

const BROWN_CAUTIONS = [
  'Wet meat in hot fat spits: pat it dry until the paper stays dry, lay it in away from you, have a lid at hand, never water on burning fat.',
  'Browning only colours the outside; it does not make unsafe meat safe.',
];

/** Steps of every course once it leaves the bath. */
export function stepsAfter(frame: Frame): Step[] {
  const cold = frame.courses.filter(({ cold }) => cold !== null);
  return [
    ...frame.courses.flatMap((course) => [
      outStep(frame, course),
      ...(course.cold ? coldSteps(frame, course, course.cold) : []),
      ...tableSteps(frame, course),
    ]),
    ...(cold.length > 0 ? [reheatOnStep(frame, cold)] : []),
  ];
}

function outStep({ job, bathC }: Frame, { dish, plan, cold }: Course): Step {
  const juice = plan.juiceKg === null ? {} : { juiceG: gramsOf(plan.juiceKg) };
  const salt = plan.juiceSaltPercent === null ? {} : { juiceSaltPercent: round(plan.juiceSaltPercent) };
  return stepOf(job, {
    kind: 'out',
    key: dish.dishId,
    dishIds: [dish.dishId],
    title: cold ? `${dish.name} out of the bath, into ice` : `${dish.name} out of the bath`,
    atMs: plan.outMs,
    amounts: { setpointC: bathC, ...juice, ...salt },
    how: cold
      ? 'Unopened, straight into the ice water. Enter that it is out: chilling has its own clock.'
      : 'Let the bag drip, cut a corner over a pan and keep the juice.',
    why:
      plan.juiceSaltPercent === null
        ? 'Later it goes on softening; earlier it may not be ready.'
        : `About ${gramsOf(plan.juiceKg ?? 0)} g of juice with ${round(plan.juiceSaltPercent)} % of salt: boiled down to half it has twice as much, so taste before salting a sauce.`,
    cautions: ['Hot bag and steam: tongs and a cloth.'],
  });
}

function tableSteps(frame: Frame, { dish, plan, tail, cold }: Course): Step[] {
  const { job } = frame;
  const about = { dishIds: [dish.dishId], key: dish.dishId };
  const fromMs = cold ? job.serveByMs - 1000 * (tail.restS + tail.finishS + tail.plateS) : plan.outMs;
  const finishMs = fromMs + 1000 * tail.restS;
  const plateMs = finishMs + 1000 * tail.finishS;
  const shreds = dish.endpoint === 'shreds';
  const steps: Step[] = [];
  if (tail.restS > 0) {
    steps.push(
      stepOf(job, {
        ...about,
        kind: 'rest',
        title: `${dish.name} rests`,
        atMs: fromMs,
        amounts: { restMin: tail.restS / 60 },
        how: 'In its bag or covered, somewhere warm.',
        why: 'Its surface cools a little and dries better; a soft piece holds together.',
      }),
    );
  }
  steps.push(
    stepOf(job, {
      ...about,
      kind: 'brown',
      title: shreds ? `Pull ${inText(dish)} apart` : `Pat dry and brown ${inText(dish)}`,
      atMs: finishMs,
      amounts: { takesMin: tail.finishS / 60 },
      how: shreds
        ? 'With two forks, warm, some of the juice over it.'
        : 'Paper until dry, a very hot pan with little fat or under a grill, a minute or two a side.',
      why: shreds ? 'It takes up its juice again.' : 'Colour and crust need more heat than water can give.',
      cautions: shreds ? [] : BROWN_CAUTIONS,
    }),
    stepOf(job, {
      ...about,
      kind: 'plate',
      title: `Carve and plate ${inText(dish)}`,
      atMs: plateMs,
      amounts: { takesMin: tail.plateS / 60 },
      how: 'Across the grain. Warm plates. Allergens told.',
      why: oddsShort(frame) ? 'On the table in time, if the fork said ready.' : 'On the table in time.',
    }),
  );
  return steps;
}

function coldSteps(frame: Frame, course: Course, cold: NonNullable<Course['cold']>): Step[] {
  return [...iceSteps(frame, course, cold), ...hotAgainSteps(frame, course, cold)];
}

function iceSteps({ job }: Frame, course: Course, cold: NonNullable<Course['cold']>): Step[] {
  const { dish, plan, massKg } = course;
  const { chill, reheatInMs } = cold;
  const about = { dishIds: [dish.dishId], key: dish.dishId };
  const at = (s: number) => plan.outMs + 1000 * s;
  const coldS = chill.coldS ?? { lowS: 0, atS: 12 * 3600, highS: 24 * 3600 };
  const keep = keepWords(job.profileId);
  return [
    stepOf(job, {
      ...about,
      kind: 'chill',
      title: `Ice for ${inText(dish)}: ${round(chill.iceKg)} kg`,
      atMs: plan.outMs,
      amounts: {
        iceKg: round(chill.iceKg),
        waterLitres: round(chill.waterLitres),
        foodKg: round(massKg, 2),
      },
      how: 'Ice and water half and half, bags under and apart, stir or pump; more ice as it melts. Write down the core, or the time and the water, until it is cold.',
      why: chill.words,
      source: chill.legs[0]?.source ?? '',
      cautions: chill.ok
        ? []
        : ['Not by the rule at this thickness: serve from the bath, or take thinner pieces.'],
    }),
    stepOf(job, {
      ...about,
      kind: 'chilled',
      who: 'physics',
      title: `${dish.name} cold to the core`,
      atMs: at(coldS.atS),
      bandMs: [at(coldS.lowS), at(coldS.highS)],
      amounts: { coreC: round(chill.toC) },
      how: 'Dry the bag, label it: what, weight, time and date, into the coldest part of the fridge.',
      why: 'Only cold food may be kept.',
      source: 'conduction, slow, middle and fast case',
    }),
    stepOf(job, {
      ...about,
      kind: 'store',
      title: `Keep ${inText(dish)} cold`,
      atMs: at(coldS.highS),
      amounts: { fridgeC: job.fridgeC, keptH: round((reheatInMs - at(coldS.atS)) / 3.6e6, 1) },
      how: `In the fridge at ${job.fridgeC} C, measured.`,
      why: keep.words,
      source: keep.source,
    }),
  ];
}

function hotAgainSteps({ job }: Frame, { dish }: Course, cold: NonNullable<Course['cold']>): Step[] {
  const { reheat, reheatInMs } = cold;
  const about = { dishIds: [dish.dishId], key: dish.dishId };
  const hotS = reheat.hotS ?? { lowS: 0, atS: 3600, highS: 7200 };
  return [
    stepOf(job, {
      ...about,
      kind: 'reheat',
      title: `${dish.name} into the bath again`,
      atMs: reheatInMs,
      amounts: { setpointC: reheat.bathC, takesMin: Math.round(hotS.highS / 60) },
      how: `Still in its bag, bath at ${reheat.bathC} C.`,
      why: reheat.words,
      source: reheat.source,
    }),
    stepOf(job, {
      ...about,
      kind: 'hot-again',
      who: 'physics',
      title: `${dish.name} hot to the core`,
      atMs: reheatInMs + 1000 * hotS.atS,
      bandMs: [reheatInMs + 1000 * hotS.lowS, reheatInMs + 1000 * hotS.highS],
      amounts: { coreC: round(reheat.coreC) },
      how: 'Nothing to do.',
      why: 'Slow, middle and fast case of the meat.',
      source: 'conduction, slow, middle and fast case',
    }),
  ];
}

function reheatOnStep({ job, kitchen }: Frame, cold: readonly Course[]): Step {
  const bathC = Math.max(...cold.map((course) => course.cold!.reheat.bathC));
  const firstMs = Math.min(...cold.map((course) => course.cold!.reheatInMs));
  const band = rigHeatUp(job.rig, kitchen.balance, job.rig.fillC, bathC);
  const heatS = band?.highS ?? band?.middleS ?? 2 * 3600;
  return stepOf(job, {
    kind: 'bath-on',
    key: 'reheat',
    dishIds: cold.map(({ dish }) => dish.dishId),
    title: `Bath on again: ${bathC} C`,
    atMs: floorGrain(firstMs - 1000 * heatS),
    amounts: { setpointC: bathC, heatUpMin: Math.round(heatS / 60) },
    how: 'Fresh water, pump on, lid on.',
    why: 'Hot before the food goes in.',
    source: 'heat balance of the rig',
  });
}

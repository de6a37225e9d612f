/** Each dish of a settled schedule, with everything the timeline says of it. */
import { type Cure, cure } from '../cure/cure.ts';
import { cutById } from '../food/cuts.ts';
import { limitProfile } from '../hazard/profiles.ts';
import { BEFORE_NIGHT_MS, earliestInMs, floorGrain, type Schedule } from './batches.ts';
import { chillOf, reheatOf } from './chill.ts';
import { nitriteMethod } from './complete-cure.ts';
import { isPoultry } from './complete-dish.ts';
import type { Course } from './frame.ts';
import type { Kitchen } from './kitchen.ts';
import { bandedMs, type Joint, moistureAt, type Outcome, readySpan, warmBandFault } from './outcome.ts';
import { adviceFor, type RoomInBox, roomOf, stepsFor } from './room.ts';
import type { Addition, Dish, DishPlan, Job } from './types.ts';
import { baggingS, RINSE_S, tailOf, tailS } from './usual.ts';
import { aroundNight, inNight } from './zone.ts';

/** Salt in the juice over salt in the meat: nearly all of it is water, and salt is in the meat's water (lean meat 70 %). */
const JUICE_OVER_MEAT = 1 / 0.7;
/** A cure shorter than this is no step of its own: salt as it is bagged, s. */
const LEAST_CURE_S = 1800;

/** When a dish has to be out of the bath in which it is cooked, and how it comes from there to the table. */
export interface Way {
  readonly outMs: number;
  readonly cold: Course['cold'];
}

/** The way of a dish from the bath to the table. */
export function wayOf(kitchen: Kitchen, dish: Dish, bathC: number): Way {
  const { job } = kitchen;
  const food = kitchen.food(dish, bathC);
  const leaveMs = job.serveByMs - 1000 * tailS(tailOf(food.cut, dish.endpoint));
  if (job.serveFrom === 'bath') return { outMs: leaveMs, cold: null };
  const chill = chillOf(food, dish.piecesCount * dish.pieceKg, bathC, job.profileId);
  const reheat = reheatOf(food, job.fridgeC, bathC);
  const reheatInMs = floorGrain(leaveMs - 1000 * (reheat.hotS?.highS ?? 3 * 3600));
  const chillMs = 1000 * (chill.coldS?.highS ?? 12 * 3600);
  // An hour in the fridge between the two.
  const latestMs = reheatInMs - 3.6e6 - chillMs;
  const eveningMs = eveningBefore(job, reheatInMs) - chillMs;
  const needMs = 1000 * (kitchen.alone(dish, bathC).needS ?? 0);
  const inTime = eveningMs - needMs >= earliestInMs(kitchen, dish.piecesCount, bathC);
  return {
    outMs: floorGrain(inTime ? Math.min(eveningMs, latestMs) : latestMs),
    cold: { chill, reheat, reheatInMs },
  };
}

/** When the last night before an instant begins; the instant itself where nights do not matter. */
function eveningBefore({ night, zone }: Job, ms: number): number {
  if (!night) return ms;
  for (let at = ms; at > ms - 86_400_000; at -= 15 * 60_000) {
    if (inNight(at, night, zone)) return aroundNight(at, night, zone).beforeMs;
  }
  return ms;
}

/** Every course of a schedule, and the room its bags have. */
export function coursesOf(
  kitchen: Kitchen,
  schedule: Schedule,
  joint: Joint,
  bathC: number,
  additions: readonly Addition[],
): { readonly courses: Course[]; readonly room: RoomInBox } {
  const { job } = kitchen;
  const advices = joint.outcomes.map(({ dish, food }) => ({ dish, advice: adviceFor(job, food, bathC) }));
  const { evaporationKgH } = kitchen.balance.loss(bathC, job.rig.lidOn);
  const outMs = joint.outcomes.map(({ dish }) => wayOf(kitchen, dish, bathC).outMs);
  const hours = Math.max(0, Math.max(...outMs) - schedule.bathOnMs) / 3.6e6;
  const room = roomOf(job, advices, evaporationKgH * hours);
  const courses = joint.outcomes.map((outcome, i) => {
    const batch = schedule.batches.find(({ dishes }) => dishes.includes(outcome.dish))!;
    const way = wayOf(kitchen, outcome.dish, bathC);
    const cured = cureOf(kitchen, outcome.dish, batch.inMs, way.outMs, bathC);
    const restart = additions.find((one) => one.restartsDishIds.includes(outcome.dish.dishId));
    const { advice } = advices[i]!;
    const bag = {
      ballastTakeKg: advice.ballastTakeKg,
      growthRatio: advice.growthRatio,
      floatsFromMl: advice.floatsFromMl,
      steps: stepsFor(advice, room),
    };
    // Chilling counts from when it really left the bath; what is served from the bath keeps its place at the table.
    const leftMs = outcome.leftS === undefined ? null : Math.round(joint.zeroMs + 1000 * outcome.leftS);
    const outMs = way.cold && leftMs !== null ? leftMs : way.outMs;
    const plan = dishPlan(outcome, joint.zeroMs, outMs, cured.cure, bag, restart);
    return {
      dish: outcome.dish,
      outcome,
      plan,
      tail: tailOf(outcome.food.cut, outcome.dish.endpoint),
      massKg: outcome.dish.piecesCount * outcome.dish.pieceKg,
      baggedMs: batch.inMs,
      cureStartMs: cured.startMs,
      cure: cured.cure,
      cold: way.cold,
    };
  });
  return { courses, room };
}

function dishPlan(
  outcome: Outcome,
  zeroMs: number,
  outMs: number,
  cured: Cure | null,
  bag: DishPlan['bag'],
  restart: Addition | undefined,
): DishPlan {
  const { dish, inS, odds, safety } = outcome;
  const outS = (outMs - zeroMs) / 1000;
  const foodInMs = Math.round(zeroMs + 1000 * inS);
  const moisture = moistureAt(outcome, outS);
  const safe = bandedMs(zeroMs, restart ? (restart.atMs - zeroMs) / 1000 : inS, safety.safeS);
  const latestS = safety.safeS === null ? null : outS - safety.safeS.highS;
  return {
    dishId: dish.dishId,
    bagIds: Array.from({ length: dish.piecesCount }, (_, i) => `${dish.dishId}-${i + 1}`),
    foodInMs,
    outMs,
    ready: readySpan(outcome, zeroMs),
    oddsFraction: odds.probabilityAt(outS),
    overdoneFraction: odds.overdoneAt(outS),
    comeUp: bandedMs(zeroMs, inS, safety.comeUpS),
    comeUpWorstS: safety.comeUpWorstS,
    comeUpLimitS: safety.comeUpLimitS,
    safe,
    safeRule: safety.rule,
    latestSafeStartMs: latestS === null ? null : Math.round(zeroMs + 1000 * latestS),
    latestSafeStartOddsFraction: safety.safeS === null ? null : odds.probabilityAt(inS + safety.safeS.highS),
    moistureLowPercent: moisture?.lowPercent ?? null,
    moistureHighPercent: moisture?.highPercent ?? null,
    cure: cured,
    bag,
    juiceKg: moisture ? (dish.piecesCount * dish.pieceKg * moisture.middlePercent) / 100 : null,
    juiceSaltPercent: cured && moisture ? cured.meanSaltPercent * JUICE_OVER_MEAT : null,
  };
}

/** Everything that makes a dish unsafe by the rules in force, in words; empty when nothing does. */
export function unsafeWords(
  kitchen: Kitchen,
  course: Pick<Course, 'dish' | 'outcome' | 'plan' | 'cold'>,
  bathC: number,
): string[] {
  const { dish, outcome, plan } = course;
  const words = outcome.safety.broken.map((broken) => `${dish.name}: ${broken}`);
  if (outcome.leftS !== undefined && plan.safe === null) {
    words.push(
      `${dish.name}: it was taken out before its core was surely safe by ${plan.safeRule} (modelled).`,
    );
  } else if (plan.safe === null) {
    words.push(`${dish.name}: at ${bathC} C its core is never safe by ${plan.safeRule}.`);
  } else if (plan.safe.bandMs[1] > plan.outMs) {
    words.push(`${dish.name}: its core is not surely safe by ${plan.safeRule} when it has to come out.`);
  }
  const warm = warmBandFault(limitProfile(kitchen.job.profileId), bathC, (plan.outMs - plan.foodInMs) / 1000);
  if (warm) words.push(`${dish.name}: ${warm}`);
  if (course.cold && !course.cold.chill.ok) words.push(`${dish.name}: ${course.cold.chill.words}`);
  return words;
}

function cureOf(
  kitchen: Kitchen,
  dish: Dish,
  inMs: number,
  outMs: number,
  bathC: number,
): { readonly startMs: number | null; readonly cure: Cure | null } {
  const { job } = kitchen;
  const wanted = dish.cure;
  if (!wanted) return { startMs: null, cure: null };
  const ask = (fridgeS: number | undefined) =>
    cure({
      meatKg: dish.piecesCount * dish.pieceKg,
      thicknessMm: dish.thicknessMm,
      saltPercent: wanted.saltPercent,
      method: wanted.method,
      sugarRatio: wanted.sugarRatio,
      ...(fridgeS === undefined ? {} : { fridgeS }),
      fridgeC: job.fridgeC,
      bath: { seconds: Math.max(0, outMs - inMs) / 1000, celsius: bathC },
      poultry: isPoultry(dish.cutId),
      aromatics: (wanted.aromatics ?? []).map(({ id, percent }) =>
        percent === undefined ? { id } : { id, percent },
      ),
      nitrite: wanted.nitrite ? { ...wanted.nitrite, method: nitriteMethod(cutById(dish.cutId)!) } : null,
    });
  const packed = wanted.method === 'packed';
  const readyS = baggingS(dish.piecesCount) + (packed ? RINSE_S : 0);
  const endMs = inMs - 1000 * readyS;
  const wantedS = packed ? ask(undefined).fridgeS : wanted.wantedS;
  const startMs = startOf(job, endMs, wantedS, packed);
  const realS = (endMs - startMs) / 1000;
  const fridgeS = realS < LEAST_CURE_S ? 0 : realS;
  return { startMs: fridgeS === 0 ? endMs : startMs, cure: ask(fridgeS) };
}

/** When to salt: as long before as wanted, not before now, and not in the night; weighed salt may lie longer. */
function startOf(job: Kitchen['job'], endMs: number, wantedS: number, packed: boolean): number {
  const idealMs = floorGrain(endMs - 1000 * wantedS);
  const around = aroundNight(idealMs, job.night, job.zone);
  const eveningMs = around.beforeMs - BEFORE_NIGHT_MS;
  const moved = packed || eveningMs < job.nowMs ? Math.min(around.afterMs, endMs) : eveningMs;
  const chosen = inNight(idealMs, job.night, job.zone) ? moved : idealMs;
  return Math.min(endMs, Math.max(job.nowMs, chosen));
}

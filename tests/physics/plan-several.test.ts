import { describe, expect, it } from 'vitest';
import { coldLoadDip } from '../../shared/bath/sizing.ts';
import { limitProfile } from '../../shared/hazard/profiles.ts';
import { kitchenFor } from '../../shared/plan/kitchen.ts';
import { planBackwards } from '../../shared/plan/plan.ts';
import { type DescribedRig, USUAL_RIG } from '../../shared/plan/rig.ts';
import { coldWaterLitres } from '../../shared/plan/temperature.ts';
import { EIGHT_CUTS } from './plan-eight.ts';
import { DINNER_MS, H_MS, lambJob, NOW_MS, stepOf } from './plan-jobs.ts';

const night = null;
const later = DINNER_MS + 24 * H_MS;
/** Pork neck for hours, chicken thighs late. */
const two = planBackwards(
  lambJob({
    serveBy: later,
    night,
    dishes: [
      { cut: 'pork neck', massKg: 2 },
      { cut: 'chicken thigh', massKg: 1.5 },
    ],
  }),
);
const [neck, thigh] = two.dishes.map((dish) => dish)!;

describe('several dishes in one bath', () => {
  it('each go in at their own time and come out for the same table', () => {
    expect(thigh!.foodInMs).toBeGreaterThan(neck!.foodInMs + 4 * H_MS);
    expect(thigh!.outMs).toBe(neck!.outMs);
    expect(two.steps.filter((step) => step.kind === 'food-in').length).toBe(2);
    expect(two.steps.filter((step) => step.kind === 'bath-on').length).toBe(1);
  });

  it('are all ready together with the odds asked for, each alone with more', () => {
    expect(two.status).toBe('odds-met');
    expect(two.oddsFraction).toBeGreaterThanOrEqual(0.79);
    expect(two.oddsFraction).toBeCloseTo(neck!.oddsFraction * thigh!.oddsFraction, 9);
    for (const dish of two.dishes) expect(dish.oddsFraction).toBeGreaterThan(0.85);
  });

  it('have the computed dip of the cold bag: at most what sharing the heat gives (m c dT), less with the heater at work', () => {
    const [addition] = two.additions;
    expect(addition!.dishId).toBe(thigh!.dishId);
    const kitchen = kitchenFor(two.job);
    const food = kitchen.food(two.job.dishes[1]!, two.bathC);
    const most = coldLoadDip(kitchen.balance, two.bathC, food.heatJK, 4);
    expect(addition!.dipMostC).toBeCloseTo(most, 6);
    // 1.5 kg at 4 C and 3.5 kJ/(kg K) into 21 L and its box, worked by hand: 1.5 * 3.5 * 70 / (21 * 4.1 + 3.2 + 5.25) = 3.9.
    expect(addition!.dipMostC).toBeCloseTo(3.9, 0);
    expect(addition!.dipC).toBeGreaterThanOrEqual(0);
    expect(addition!.dipC).toBeLessThan(addition!.dipMostC);
  });

  it('never have a cold bag put beside one that is not yet safe: it goes in together with it, or later', () => {
    const close = planBackwards(
      lambJob({
        serveBy: later,
        night,
        dishes: [
          { cut: 'pork neck', massKg: 1.5, thicknessMm: 95 },
          { cut: 'lamb shoulder', massKg: 1.5 },
        ],
      }),
    );
    const [a, b] = close.dishes;
    const first = a!.foodInMs <= b!.foodInMs ? a! : b!;
    const second = first === a ? b! : a!;
    expect(second.foodInMs === first.foodInMs || second.foodInMs >= first.safe!.bandMs[1]).toBe(true);
    for (const one of close.additions) expect(one.restartsDishIds).toEqual([]);
  });

  it('begin their come-up clock again where a weak bath is cooled under the hot-holding limit, and say so', () => {
    const weak: DescribedRig = {
      ...USUAL_RIG,
      waterLitres: 10,
      openingM2: 0.06,
      brimMm: 300,
      elementW: 180,
      filmId: 'pp-pouch',
      linerId: 'steel-pot',
    };
    const dipped = planBackwards(
      lambJob({
        serveBy: later + 48 * H_MS,
        night,
        bathC: 66,
        rig: weak,
        dishes: [
          { cut: 'pork cheek', massKg: 1 },
          { cut: 'chicken thigh', massKg: 4, piecesCount: 4 },
        ],
      }),
    );
    const [addition] = dipped.additions;
    expect(addition!.lowestC).toBeLessThan(limitProfile('conservative').hotHold.otherC);
    expect(addition!.restartsDishIds).toEqual(['pork-cheek-1']);
    expect(addition!.words).toMatch(/come-up clock of pork cheek begins again/);
    const cheek = dipped.dishes.find((dish) => dish.dishId === 'pork-cheek-1')!;
    expect(cheek.safe!.atMs).toBeGreaterThan(addition!.atMs);
  });

  it('stand aside where they cannot share a temperature, and say what can be done', () => {
    const mixed = planBackwards(
      lambJob({
        serveBy: later,
        dishes: [
          { cut: 'lamb shoulder', massKg: 2 },
          { cut: 'salmon fillet', massKg: 1 },
        ],
      }),
    );
    expect(mixed.dishes.map((dish) => dish.dishId)).toEqual(['lamb-shoulder-1']);
    const [conflict] = mixed.conflicts;
    expect(conflict!.dishId).toBe('salmon-fillet-2');
    expect(conflict!.why).toMatch(/cannot share a bath/);
    expect(conflict!.offers.length).toBeGreaterThanOrEqual(2);
    const { bathC, ...free } = lambJob({
      serveBy: later,
      dishes: [
        { cut: 'beef sirloin', massKg: 1 },
        { cut: 'lamb shoulder', massKg: 2 },
      ],
    });
    expect(bathC).toBe(74);
    expect(planBackwards(free).conflicts.map((one) => one.dishId)).toEqual(['beef-sirloin-1']);
  });

  it('take the cold water that mixing asks for to bring a bath down (worked: 20 L from 74 to 60 C with 10 C water, 4.4 L)', () => {
    expect(coldWaterLitres(20, 74, 60, 10)).toBeCloseTo(4.375, 9);
    // Check: 15.625 L at 74 and 4.375 L at 10 make 60.
    expect((15.625 * 74 + 4.375 * 10) / 20).toBeCloseTo(60, 9);
    expect(() => coldWaterLitres(20, 60, 74, 10)).toThrow(RangeError);
  });

  it('find room: water is poured so that the bags stay under the brim, and too many are told', () => {
    expect(two.room.pourLitres).toBeLessThanOrEqual(21);
    expect(two.room.levelMm).toBeLessThan(USUAL_RIG.brimMm - 19);
    expect(Number(stepOf(two, 'bag').amounts.seamAboveFloorMm)).toBeGreaterThan(two.room.levelMm);
    const full = planBackwards(
      lambJob({
        serveBy: later,
        dishes: [{ cut: 'lamb shoulder', massKg: 16, piecesCount: 8, thicknessMm: 70 }],
      }),
    );
    expect(full.room.faults.join()).toMatch(/too little to move round|fewer bags/);
    // Where the water cannot move nothing said of times holds: no steps to follow, and no odds.
    expect([full.status, full.steps.length, full.reminders.length]).toEqual(['rig-cannot', 0, 0]);
    expect(full.words).toMatch(
      /box is too small.*At most \d bags? of|box is too small.*At most \d of the largest bag/,
    );
  });
});

describe('a job at the design load', () => {
  it('of eight different bags is planned whole', () => {
    const eight = planBackwards(
      lambJob({
        nowMs: NOW_MS,
        serveBy: later + 24 * H_MS,
        dishes: EIGHT_CUTS.map((cut) => ({ cut, massKg: 0.8 })),
      }),
    );
    expect(eight.dishes.length).toBe(8);
    expect(eight.status).toBe('odds-met');
    for (const dish of eight.dishes) expect(dish.safe!.bandMs[1]).toBeLessThanOrEqual(dish.outMs);
  });
});

import { describe, expect, it } from 'vitest';
import { DESCRIBED_SPREAD } from '../../shared/bath/sizing.ts';
import { planBackwards } from '../../shared/plan/plan.ts';
import { rigAnswer, rigBalance, rigHeatUp, rigSpread, USUAL_RIG } from '../../shared/plan/rig.ts';
import { boxOf, changedRig, rigOfView } from '../../shared/plan/rig-view.ts';
import { boxTakes } from '../../shared/plan/room.ts';
import { configSchema } from '../../shared/wire/config.ts';
import type { RigView } from '../../shared/wire/status.ts';
import { lambJob, stepOf } from './plan-jobs.ts';

const figure = (value: number, share: number) => ({
  value,
  low: value * (1 - share),
  high: value * (1 + share),
});
const BOX = { litres: 21, elementWatts: 1000, spareLitres: 9, circulation: 'pumped' } as const;

/** A rig as the controller shows it once it has run, with 74 C of water in a room of 20 C. */
const seen = (identified = true): RigView => ({
  identified,
  identifiedAtMs: identified ? 1 : null,
  watts: figure(950, 0.04),
  heatJK: figure(95_000, 0.06),
  rateCPerS: figure(0.01, 0.02),
  atC: 74,
  roomC: 20,
  lossLidOnW: figure(60, 0.2),
  lossLidOffW: figure(480, 0.2),
  delayS: figure(60, 0.2),
  deadTimeS: figure(30, 0.2),
  lagS: figure(30, 0.2),
});

describe('the rig of a plan', () => {
  it('is the configured box until the controller has identified it', () => {
    for (const view of [null, seen(false)]) {
      const rig = rigOfView(view, BOX);
      expect(rig).toMatchObject({ kind: 'described', waterLitres: 21, elementW: 1000 });
      expect(rigSpread(rig)).toBe(DESCRIBED_SPREAD);
      // 9 L over the element in 0.1 m2: 90 of 210 mm.
      expect(rig.lowestMm).toBeCloseTo(120, 6);
    }
  });

  it('heats as the closed form of the balance says with the identified figures', () => {
    const rig = rigOfView(seen(), BOX);
    expect(rig.kind).toBe('identified');
    // t = C/G ln((P - G dT1)/(P - G dT2)), G = 60/54 W/K: 95000/1.1111 ln(958.89/890.0) = 6374 s (worked).
    const time = rigHeatUp(rig, rigBalance(rig), 12, 74)!;
    expect(time.middleS).toBeGreaterThan(6374 * 0.995);
    expect(time.middleS).toBeLessThan(6374 * 1.005);
  });

  it('has the spread of the 95 % intervals, so that its band is narrower than that of a description', () => {
    const rig = rigOfView(seen(), BOX);
    expect(rigSpread(rig).watts).toBeCloseTo(0.04 / 1.96, 9);
    expect(rigSpread(rig).capacity).toBeCloseTo(0.06 / 1.96, 9);
    expect(rigSpread(rig).loss).toBeCloseTo(0.2 / 1.96, 9);
    const width = (of: typeof rig) => {
      const band = rigHeatUp(of, rigBalance(of), 12, 74)!;
      return (band.highS! - band.lowS) / band.middleS;
    };
    expect(width(rig)).toBeLessThan(0.6 * width(rigOfView(null, BOX)));
  });

  it('warms slower with more water, and loses its lid where somebody says so', () => {
    const rig = rigOfView(seen(), BOX);
    const more = changedRig(rig, { waterLitres: 26 });
    const time = (of: typeof rig) => rigHeatUp(of, rigBalance(of), 12, 74)!.middleS;
    // 5 L more are 5 x 4.14 kJ/K: 115.7 over 95 kJ/K.
    expect(time(more) / time(rig)).toBeCloseTo(115_700 / 95_000, 2);
    const open = changedRig(rig, { lidOn: false });
    expect(time(open)).toBeGreaterThan(1.15 * time(rig));
    expect(rigAnswer(rig, 74, 12).lidOff.holdMeanW).toBeCloseTo(480, 0);
    expect(changedRig(rigOfView(null, BOX), { elementW: 500 })).toMatchObject({ elementW: 500 });
  });

  it('plans a whole job once it is identified', () => {
    const plan = planBackwards(lambJob({ rig: rigOfView(seen(), BOX) }));
    expect(plan.status).toBe('odds-met');
    const [low, high] = stepOf(plan, 'bath-hot').bandMs!;
    const described = stepOf(planBackwards(lambJob({ rig: rigOfView(null, BOX) })), 'bath-hot').bandMs!;
    expect(high - low).toBeLessThan(described[1] - described[0]);
  });
});

describe('the highest setpoint of the controller', () => {
  it('caps the bath of a plan as film and liner do, and says so', () => {
    const box = boxOf(configSchema.parse({ limits: { hardMaxC: 72 } }));
    expect(box.setpointMaxC).toBe(70);
    const rig = rigOfView(null, box);
    const free = planBackwards({ ...lambJob({ rig }), bathC: undefined });
    expect(free.bathC).toBeLessThanOrEqual(70);
    expect(() => planBackwards(lambJob({ rig, bathC: 74 }))).toThrow(/74 C is over 70 C: this controller/);
  });
});

describe('how many bags a box takes', () => {
  it('leaves 1.5 L of water for each litre of food and 20 mm to the brim (worked)', () => {
    const takes = boxTakes(USUAL_RIG, 2, 74, 1000);
    // 0.1 m2 by 260 mm are 26 L; a bag of 2 L and its air takes 2.5 times its volume of them: 13 of 26 L for two and a half.
    expect(takes.bagLitres).toBeGreaterThan(2);
    expect(takes.bagLitres).toBeLessThan(2.1);
    expect(takes.mostBagsCount).toBe(Math.floor(26 / (2.5 * takes.bagLitres)));
    expect(takes.pourLitres + takes.displacedLitres).toBeLessThanOrEqual(26);
    expect(takes.brimLitres).toBeCloseTo(28, 9);
    expect(boxTakes(USUAL_RIG, 12, 74).mostBagsCount).toBe(0);
  });

  it('is told with the plan, for bags as large as its own', () => {
    const plan = planBackwards(lambJob());
    expect(plan.room.mostBagsCount).toBe(5);
  });
});

describe('the water in a plan', () => {
  it('may fall by what evaporates before it is topped up, and no food stands over that', () => {
    const { room, rig } = planBackwards(lambJob());
    const goneMm = room.levelMm - room.lowestPredictedMm;
    expect(goneMm).toBeGreaterThan(0);
    // With the lid on less goes than half of the spare water: 1 mm on 0.1 m2 is 0.1 L.
    expect(goneMm / 10).toBeLessThan(0.5 * (room.pourLitres - 0.1 * 120));
    expect(goneMm / 10).toBeGreaterThan(0.8 * rig.lidOn.evaporationLitresPerH * rig.holdH);
    expect(room.seamAboveMm).toBeGreaterThan(room.levelMm);
    const open = planBackwards(lambJob({ rig: { ...USUAL_RIG, lidOn: false } })).room;
    // Without the lid it is topped up when half of it is gone.
    expect(open.levelMm - open.lowestPredictedMm).toBeCloseTo((0.5 * (open.pourLitres - 12)) / 0.1, 6);
  });
});

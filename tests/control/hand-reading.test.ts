import { describe, expect, it } from 'vitest';
import { leastLog10 } from '../../controller/tick/estimate/bag.ts';
import { statusOf } from '../../controller/tick/status.ts';
import { type Command, commandSchema } from '../../shared/wire/command.ts';
import { type BenchCook, benchCook, say } from './cook.ts';

let ids = 0;
const command = (more: Record<string, unknown>): Command =>
  commandSchema.parse({ id: `hand-${ids++}`, by: 'Hut phone', bagId: 'neck', ...more });
const read = (celsius: number, more: Record<string, unknown> = {}) =>
  command({ kind: 'core-reading', celsius, errorC: 0.5, ...more });
const searched = { coldSpot: 'lowest of three places' };

/** A pork neck in a bath of 62 C, after so many hours. */
function neckAfter(hours: number): BenchCook {
  const cook = benchCook({ startC: 62 });
  cook.say(say.start(62));
  cook.run(60);
  cook.say(say.bagIn('neck', 'pork-neck', 60, 1.2));
  cook.run(hours * 3600);
  return cook;
}

const bagOf = (cook: BenchCook) => statusOf(cook.state()).bags[0]!;
const lowC = (cook: BenchCook) => cook.state().bags[0]!.estimate.core.lowC;
/** Worst-case lethality that the next half hour earns. */
function earns(cook: BenchCook): number {
  const before = leastLog10(cook.state().bags[0]!.estimate);
  cook.run(1800);
  return leastLog10(cook.state().bags[0]!.estimate) - before;
}

describe('a core read by hand in the bath', () => {
  it('well under the coldest case lowers the credit at once, begins it anew, and caps it until a reading at the searched cold spot', () => {
    const plain = neckAfter(4);
    const cook = neckAfter(4);
    expect(leastLog10(cook.state().bags[0]!.estimate)).toBeGreaterThan(0);
    cook.say(read(lowC(cook) - 6));
    expect(bagOf(cook).hand).toMatchObject({ effect: 'lowered', flags: ['below-worst-case'] });
    expect(leastLog10(cook.state().bags[0]!.estimate)).toBeLessThan(0.001);
    expect(bagOf(cook).lethality[0]!.metAtMs).toBeNull();
    // 6 K colder at z near 6 K: a tenth of the speed.
    const usual = earns(plain);
    const capped = earns(cook);
    expect(capped).toBeLessThan(0.2 * usual);
    // Neither a reading of no searched place, nor one that meat cannot have, gives the credit back.
    for (const reading of [read(lowC(cook) + 0.6), read(75, searched), read(75)]) {
      cook.say(reading);
      expect(bagOf(cook).hand).toMatchObject({ effect: 'none', holdsLower: true });
      expect(earns(cook)).toBeLessThan(0.2 * usual);
    }
    cook.say(read(lowC(cook) + 0.6, searched));
    expect(bagOf(cook).hand).toMatchObject({ effect: 'raised', holdsLower: false });
    expect(earns(cook)).toBeGreaterThan(0.9 * usual);
  });

  it('under the coldest case by less than its error lowers the credit by that much and takes nothing back', () => {
    const plain = neckAfter(4);
    const cook = neckAfter(4);
    const before = leastLog10(cook.state().bags[0]!.estimate);
    cook.say(read(lowC(cook) - 0.3));
    expect(bagOf(cook).hand).toMatchObject({ effect: 'lowered', flags: [] });
    expect(leastLog10(cook.state().bags[0]!.estimate)).toBeGreaterThanOrEqual(before);
    const [less, usual] = [earns(cook), earns(plain)];
    expect(less).toBeLessThan(usual);
    expect(less).toBeGreaterThan(0.5 * usual);
  });

  it('raises the credit only where the cold spot was confirmed and recorded', () => {
    const unsure = neckAfter(1.6);
    const sure = neckAfter(1.6);
    const { highC } = sure.state().bags[0]!.estimate.core;
    const between = (lowC(sure) + highC) / 2;
    expect(highC - lowC(sure)).toBeGreaterThan(3);
    for (const cook of [unsure, sure]) {
      cook.say(read(between, cook === sure ? searched : {}));
    }
    expect(bagOf(unsure).hand!.effect).toBe('none');
    expect(bagOf(sure).hand!.effect).toBe('raised');
    expect(earns(sure)).toBeGreaterThan(earns(unsure));
  });

  it('holds what it raised only while the water stays hotter than it', () => {
    const cook = neckAfter(1.6);
    cook.say(read((lowC(cook) + cook.state().bags[0]!.estimate.core.highC) / 2, searched));
    expect(cook.state().bags[0]!.hand!.floorC).not.toBeNull();
    cook.rig.plant.apply({ kind: 'mains', on: false });
    cook.rig.plant.apply({ kind: 'lid', on: false });
    cook.run(4 * 3600);
    expect(cook.state().bags[0]!.hand!.floorC).toBeNull();
  });

  it('loses what it raised once the bag is not wholly under, for in the air the core cools below it', () => {
    const cook = neckAfter(1.6);
    const half = (lowC(cook) + cook.state().bags[0]!.estimate.core.highC) / 2;
    cook.say(read(half, searched));
    cook.run(60);
    const floorC = () => cook.state().bags[0]!.hand!.floorC;
    expect(floorC()).not.toBeNull();
    cook.say(command({ kind: 'bag-lies', lies: 'afloat' }));
    cook.run(10);
    expect(floorC()).toBeNull();
    cook.say(command({ kind: 'bag-lies', lies: 'under' }));
    cook.run(10);
    expect(floorC()).toBeNull();
  });

  it('that meat cannot have is flagged and raises nothing, cold spot or not', () => {
    const cook = neckAfter(1.6);
    cook.say(read(75, searched));
    expect(bagOf(cook).hand).toMatchObject({ effect: 'none', flags: ['hotter-than-meat-can-be'] });
    cook.say(read(-3));
    expect(bagOf(cook).hand!.flags).toContain('colder-than-meat-can-be');
  });

  it('must be of now: one taken earlier is refused', () => {
    const cook = neckAfter(1.6);
    expect(cook.say(read(50, { agoS: 600 })).results[0]).toMatchObject({
      accepted: false,
      code: 'reading-too-old',
    });
  });

  it('stays against the bag when it is described anew', () => {
    const cook = neckAfter(4);
    cook.say(read(lowC(cook) - 6));
    const again = say.bagIn('neck', 'pork-neck', 62, 1.2);
    if (again.kind !== 'bag-in') throw new Error('not a bag');
    cook.say(command({ kind: 'edit-bag', bag: again.bag }));
    expect(leastLog10(cook.state().bags[0]!.estimate)).toBeLessThan(0.1);
    expect(bagOf(cook).hand!.holdsLower).toBe(true);
  });

  it('stays against it through another kind of food and back, whose standards are others', () => {
    const cook = neckAfter(4);
    cook.say(read(lowC(cook) - 6));
    for (const cutId of ['turkey-thigh', 'pork-neck']) {
      const again = say.bagIn('neck', cutId, 30, 1.2);
      if (again.kind !== 'bag-in') throw new Error('not a bag');
      cook.say(command({ kind: 'edit-bag', bag: again.bag }));
      expect(leastLog10(cook.state().bags[0]!.estimate), cutId).toBeLessThan(0.1);
      expect(bagOf(cook).lethality[0]!.metAtMs, cutId).toBeNull();
      expect(bagOf(cook).hand!.holdsLower, cutId).toBe(true);
    }
  });
});

import { describe, expect, it } from 'vitest';
import { outlookOf } from '../../controller/tick/estimate/view.ts';
import { statusOf } from '../../controller/tick/status.ts';
import { takesBack } from '../../shared/hazard/core-hold.ts';
import { command, log10, type Probed, probed } from './probed.ts';

/** The rule that readings by hand and by a wired probe share; invented pork neck in water of 62 C, own choice of lags. */
const HOURS = 4;

function cooked(hours = HOURS): Probed {
  const one = probed();
  one.cook.run(hours * 3600);
  return one;
}

const lowC = ({ cook }: Probed) => cook.state().bags[0]!.estimate.core.lowC;
const readByHand = (one: Probed, celsius: number) =>
  one.cook.say(command({ kind: 'core-reading', celsius, errorC: 0.5 }));
const bag = ({ cook }: Probed) => cook.state().bags[0]!;
const earned = (one: Probed) => log10(one.cook.state());

/** Runs on and gathers what the record is told. */
function kindsOf({ cook }: Probed, seconds: number): string[] {
  const kinds: string[] = [];
  cook.run(seconds, (output) => kinds.push(...output.events.map(({ kind }) => kind)));
  return kinds;
}

describe('a reading that disproves the model', () => {
  it('by a wired probe that had not been there before takes back what was earned, as one by hand does, and both go on alike', () => {
    const [wired, hand, plain] = [cooked(), cooked(), cooked()];
    expect(earned(plain)).toBeGreaterThan(1);
    const lagK = 6;
    readByHand(hand, lowC(hand) - lagK + 0.5);
    expect(earned(hand)).toBeLessThan(0.001);
    wired.shows((low) => low - lagK + 0.5);
    const kinds = kindsOf(wired, 330);
    expect(kinds.filter((kind) => kind === 'credit-anew')).toHaveLength(1);
    expect(bag(wired).anewAtMs).not.toBeNull();
    expect(bag(hand).anewAtMs).not.toBeNull();
    hand.cook.run(330);
    for (const one of [wired, hand, plain]) one.cook.run(3600);
    expect(earned(wired)).toBeLessThan(0.3 * earned(plain));
    expect(earned(hand)).toBeLessThan(0.3 * earned(plain));
    expect(earned(wired)).toBeGreaterThan(0);
    // By hand the core is held where it was read; the wire follows it as it warms: alike but for that, and the minutes
    // in which the wired reading had to stand.
    expect(Math.abs(earned(wired) - earned(hand))).toBeLessThan(0.1 * earned(plain));
  });

  it('by a wired probe that had agreed for hours takes it back too, once, and no more for showing the same again', () => {
    const one = probed();
    one.shows((low) => low + 1);
    one.cook.run(HOURS * 3600);
    expect(earned(one)).toBeGreaterThan(1);
    one.shows((low) => low - 4);
    expect(kindsOf(one, 290)).not.toContain('credit-anew');
    expect(kindsOf(one, 60)).toContain('credit-anew');
    expect(earned(one)).toBeLessThan(0.2);
    const begun = earned(one);
    expect(kindsOf(one, 7200)).not.toContain('credit-anew');
    expect(earned(one)).toBeGreaterThan(begun);
  });

  it('for two minutes only, by a wired probe that then agrees again, takes nothing back', () => {
    const one = cooked();
    const before = earned(one);
    one.shows((low) => low - 6);
    one.cook.run(120);
    one.shows((low) => low + 1);
    expect(kindsOf(one, 1200)).not.toContain('credit-anew');
    expect(earned(one)).toBeGreaterThanOrEqual(before);
  });

  it('and falls silent before the five minutes are over takes it back all the same', () => {
    const one = cooked();
    one.shows((low) => low - 6);
    one.cook.run(120);
    one.shows(() => null);
    expect(kindsOf(one, 200)).toContain('credit-anew');
    expect(earned(one)).toBeLessThan(0.05);
  });

  it('makes a standard that was met unmet', () => {
    const [wired, hand] = [cooked(7), cooked(7)];
    expect(bag(wired).metAtMs).not.toBeNull();
    wired.shows((low) => low - 6);
    wired.cook.run(330);
    readByHand(hand, lowC(hand) - 6);
    expect(bag(wired).metAtMs).toBeNull();
    expect(bag(hand).metAtMs).toBeNull();
  });

  it('that another had told already, by hand or by wire, takes nothing more; a colder one does', () => {
    const byHand = cooked();
    readByHand(byHand, lowC(byHand) - 5);
    byHand.cook.run(1800);
    byHand.shows((low) => low - 3);
    expect(kindsOf(byHand, 600)).not.toContain('credit-anew');
    byHand.shows((low) => low - 12);
    expect(kindsOf(byHand, 600)).toContain('credit-anew');

    const byWire = cooked();
    byWire.shows((low) => low - 5);
    byWire.cook.run(3600);
    const stood = earned(byWire);
    readByHand(byWire, lowC(byWire) - 3);
    expect(earned(byWire)).toBeGreaterThanOrEqual(stood);
    readByHand(byWire, lowC(byWire) - 12);
    expect(earned(byWire)).toBeLessThan(0.001);
  });
});

/** When the standard is forecast to be met, s from now, and what holds the forecast. */
const forecast = ({ cook }: Probed) => outlookOf(cook.state(), cook.state().bags[0]!).ahead!;

/** How long it takes in truth, s from now; null where it is not met in that many hours. */
function takes(one: Probed, hours: number): number | null {
  for (let s = 0; s < hours * 3600; s += 60) {
    one.cook.run(60);
    if (bag(one).metAtMs !== null) return s + 60;
  }
  return null;
}

describe('the forecast of when the standard is met', () => {
  it('is later where a reading by hand holds the credit under the model, and comes true', () => {
    const [plain, held] = [cooked(2), cooked(2)];
    readByHand(held, lowC(held) - 0.45);
    const [usual, later] = [forecast(plain), forecast(held)];
    expect(usual).toMatchObject({ heldBy: null });
    expect(later).toMatchObject({ heldBy: 'hand' });
    expect(later.metInS!).toBeGreaterThan(usual.metInS! + 600);
    expect(Math.abs(takes(plain, 24)! / usual.metInS! - 1)).toBeLessThan(0.1);
    expect(Math.abs(takes(held, 24)! / later.metInS! - 1)).toBeLessThan(0.1);
  });

  it('is later where a wired probe shows a lag, goes by it when the probe falls silent, and comes true', () => {
    const one = cooked(2);
    const usual = forecast(one).metInS!;
    one.shows((low) => low - 1.5);
    one.cook.run(400);
    const heard = forecast(one);
    expect(heard).toMatchObject({ heldBy: 'probe' });
    expect(heard.metInS!).toBeGreaterThan(usual);
    expect(Math.abs(takes(one, 24)! / heard.metInS! - 1)).toBeLessThan(0.1);
  });

  it('is none where what was read holds the core under all that the standard credits, and the record says so', () => {
    const [hand, wired] = [cooked(2), cooked(2)];
    const said = readByHand(hand, 45).events.find(({ kind }) => kind === 'core-reading')!;
    expect(forecast(hand)).toMatchObject({ metInS: null, heldBy: 'hand' });
    expect(said.text).toContain('no time is forecast');
    expect(said.data.dueInS).toBeNull();
    wired.shows(() => 45);
    wired.cook.run(310);
    wired.shows(() => null);
    const texts: string[] = [];
    wired.cook.run(10, (output) => texts.push(...output.events.map(({ text }) => text)));
    expect(
      texts.some((text) => text.includes('no longer says so') && text.includes('no time is forecast')),
    ).toBe(true);
    expect(forecast(wired)).toMatchObject({ metInS: null, heldBy: 'probe' });
    expect(takes(wired, 6)).toBeNull();
  });

  it('stands on the page by its cause', () => {
    const one = cooked(2);
    readByHand(one, 45);
    const shown = statusOf(one.cook.state()).bags[0]!;
    expect(shown.lethality[0]).toMatchObject({ dueAtMs: null, dueHeldBy: 'hand' });
    expect(shown.creditAnewAtMs).not.toBeNull();
  });
});

describe('the rule itself', () => {
  const hold = { lowerK: 4, capC: 57 };
  it('goes by the coldest case, the whole error of the reading given to it', () => {
    expect(takesBack({ celsius: 59.4, errorC: 0.5 }, 60, [null, null])).toBe(true);
    expect(takesBack({ celsius: 59.6, errorC: 0.5 }, 60, [null, null])).toBe(false);
  });

  it('goes by what was already known where that is colder, a little noise forgiven', () => {
    expect(takesBack({ celsius: 56, errorC: 0.5 }, 60, [hold, null])).toBe(false);
    expect(takesBack({ celsius: 55.3, errorC: 0.5 }, 60, [null, hold])).toBe(false);
    expect(takesBack({ celsius: 55.1, errorC: 0.5 }, 60, [null, hold])).toBe(true);
    // The cap binds where the model has gone on: 62 less 4 is more than 57.
    expect(takesBack({ celsius: 56.5, errorC: 0.5 }, 62, [hold, null])).toBe(false);
    expect(takesBack({ celsius: 56, errorC: 0.5 }, 62, [hold, null])).toBe(true);
  });
});

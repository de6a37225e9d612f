import { describe, expect, test } from 'vitest';
import { creditAnewText, handText, probeHoldText } from '../../monitor/src/words/hand.ts';
import { lethalityWords } from '../../monitor/src/words/lethality.ts';
import { bagViewFixture } from './bag-view.ts';

const NOON = new Date(2026, 10, 25, 12, 0).getTime();
const at = (hours: number) => NOON + hours * 3_600_000;
const plain = (text: string | null) => text?.replaceAll('\u00a0', ' ') ?? null;
const UNTIL = 'until the coldest place is searched, said so, and read higher';

describe('What a probe had shown and no longer shows, in words', () => {
  const held = bagViewFixture({ probeHold: { celsius: 53.25, atMs: at(-1.5) } });
  test('is said with what it showed, when, that the credit stays lowered by it, and how that ends', () => {
    expect(plain(probeHoldText(held, 'C', NOON))).toBe(
      `The probe in the piece showed 53.3 °C at 10:30, colder than the model’s coldest case. The credit of heat stays lowered by it ${UNTIL}.`,
    );
  });
  test('is in the unit of the page, and names the day where it is not today', () => {
    const yesterday = bagViewFixture({ probeHold: { celsius: 50, atMs: at(-14) } });
    expect(plain(probeHoldText(yesterday, 'F', NOON))).toContain('showed 122.0 °F at Tue 22:00,');
  });
  test('is not said where nothing is held', () => {
    expect(probeHoldText(bagViewFixture(), 'C', NOON)).toBeNull();
  });
});

describe('A reading by hand in words', () => {
  const hand = { atMs: at(-0.5), celsius: 51, by: 'Hut phone', flags: [] };
  test('says what it did and whether it holds, or an earlier one does', () => {
    const text = (effect: 'lowered' | 'raised' | 'none', holdsLower: boolean) =>
      plain(handText(bagViewFixture({ hand: { ...hand, effect, holdsLower } }), 'C', NOON));
    expect(text('lowered', true)).toBe(
      `51.0 °C, read by hand at 11:30 by Hut phone. It lowered the credit of heat. It stays lowered ${UNTIL}.`,
    );
    expect(text('none', true)).toContain(
      `It changed nothing in the credit of heat. An earlier reading holds it lower ${UNTIL}.`,
    );
    expect(text('raised', false)).toMatch(/It raised the credit of heat while the water stays hotter\.$/);
    expect(handText(bagViewFixture(), 'C', NOON)).toBeNull();
  });
});

describe('Credit that was taken back, in words', () => {
  test('says from when it counts and why', () => {
    const text = creditAnewText(bagViewFixture({ creditAnewAtMs: at(-2) }), NOON);
    expect(text).toContain('counts from 10:00 only');
    expect(text).toContain('colder than the model allows');
    expect(creditAnewText(bagViewFixture(), NOON)).toBeNull();
  });
});

describe('The forecast of a standard under a reading, in words', () => {
  const [view] = bagViewFixture().lethality;
  const due = (dueAtMs: number | null, dueHeldBy: 'probe' | 'hand' | null) =>
    lethalityWords({ ...view!, dueAtMs, dueHeldBy }, 'C', NOON).due;
  test('is later than modelled, and by what', () => {
    expect(due(at(2), 'probe')).toBe(
      'about 14:00 if the bath keeps its setpoint; later than modelled, because the probe in the piece showed it slower than the model',
    );
    expect(due(at(2), null)).toBe('about 14:00 if the bath keeps its setpoint');
  });
  test('is not given, because of what was read, where it is not met within a day', () => {
    expect(due(null, 'hand')).toBe(
      'not forecast, because a reading by hand showed the piece slower than the model: by that it is not met within a day',
    );
    expect(due(null, null)).toBeNull();
    expect(lethalityWords({ ...view!, metAtMs: at(-1), dueHeldBy: 'hand' }, 'C', NOON).due).toBeNull();
  });
});

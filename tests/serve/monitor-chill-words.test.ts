import { describe, expect, test } from 'vitest';
import { bagSection } from '../../controller/journal/record/bags.ts';
import { chillHeadline, nextText, storageText } from '../../monitor/src/words/chill.ts';
import { handText } from '../../monitor/src/words/hand.ts';
import { bagRowSchema } from '../../shared/wire/record.ts';
import type { ChillView } from '../../shared/wire/status.ts';
import { bagViewFixture } from './bag-view.ts';

const NOON = new Date(2026, 10, 25, 12, 0).getTime();
const at = (hours: number) => NOON + hours * 3_600_000;
const plain = (text: string | null) => (text ?? '').replaceAll('\u00a0', ' ');

/** Invented: a pork neck in ice water since 11:00. */
const CHILL: ChillView = {
  method: 'ice-water',
  startedAtMs: at(-1),
  readings: [],
  next: { celsius: 190 / 9, dueAtMs: at(1), rule: 'Food Code 3-501.14(A)' },
  endedAtMs: null,
  outcome: null,
  storage: { untilMs: null, words: 'No store-until is given.', conditions: [], rule: 'R', source: 'S' },
};

describe('Chilling in words', () => {
  test('says how and since when, what must be shown by when, and that it is overdue once it is', () => {
    expect(chillHeadline(CHILL, NOON)).toBe('Chilling in ice water since 11:00');
    expect(plain(nextText(CHILL, 'C', NOON))).toBe('Show the core at 21.1 °C or colder by 13:00');
    expect(plain(nextText(CHILL, 'F', NOON))).toContain('70.0 °F');
    expect(nextText(CHILL, 'C', at(1.5))).toContain('Overdue');
    expect(nextText({ ...CHILL, next: null }, 'C', NOON)).toBeNull();
  });

  test('says what became of it, and a date only where there is one', () => {
    expect(chillHeadline({ ...CHILL, endedAtMs: NOON, outcome: 'discarded' }, NOON)).toBe(
      'Thrown away at 12:00',
    );
    expect(storageText(CHILL, NOON)).toBe('No store-until is given.');
    const kept = { ...CHILL, storage: { ...CHILL.storage, untilMs: at(48), words: 'At most 48 h.' } };
    expect(storageText(kept, NOON)).toBe('Keep until Fri 12:00 at the latest. At most 48 h.');
  });

  test('says what a core read by hand did to the credit, and never more', () => {
    const hand = { atMs: NOON, celsius: 58, by: 'Hut phone', flags: [], holdsLower: false };
    const words = (effect: 'lowered' | 'raised' | 'none') =>
      handText(bagViewFixture({ hand: { ...hand, effect } }), 'C', NOON);
    expect(plain(words('lowered'))).toBe(
      '58.0 °C, read by hand at 12:00 by Hut phone. It lowered the credit of heat.',
    );
    expect(words('raised')).toContain('while the water stays hotter');
    expect(words('none')).toContain('changed nothing');
    const held = handText(bagViewFixture({ hand: { ...hand, effect: 'none', holdsLower: true } }), 'C', NOON);
    expect(held).toContain('An earlier reading holds it lower until the coldest place is searched');
    expect(handText(bagViewFixture(), 'C', NOON)).toBeNull();
  });
});

describe('The printed record of a chilled bag', () => {
  test('has the method, each reading with who took it, the rule, what became of it and the date', () => {
    const bag = bagRowSchema.parse({
      bagId: 'neck',
      label: 'Pork neck',
      cutId: 'pork-neck',
      beta: 1,
      thicknessMm: 60,
      massKg: null,
      startC: 4,
      endpoint: 'fork-tender',
      cookId: 'hut',
      assumed: false,
      inAtMs: 0,
      outAtMs: 3_600_000,
      standardId: 'fsis-meat-6.5',
      lethalityMetAtMs: null,
      chill: {
        method: 'ice-water',
        startedAtMs: 3_600_000,
        readings: [{ atMs: 7_200_000, celsius: 19.5, errorC: 1, by: '<Hut> phone' }],
        endedAtMs: 9_000_000,
        outcome: 'fridge',
        fridgeC: 3,
        coolingKept: true,
        storeUntilMs: null,
      },
    });
    const html = bagSection(
      { bags: [bag], bagVersions: [], commands: [] } as unknown as Parameters<typeof bagSection>[0],
      { lastOf: new Map() } as unknown as Parameters<typeof bagSection>[1],
    );
    for (const part of [
      'ice-water',
      '19.5 °C',
      '&lt;Hut&gt; phone',
      'kept, by the readings',
      'fridge at',
      'no date is given',
    ])
      expect(html).toContain(part);
  });
});

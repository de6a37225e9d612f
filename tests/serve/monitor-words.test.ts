import { describe, expect, test } from 'vitest';
import { draftOf, emptyDraft, specOf, usualOf } from '../../monitor/src/food/bag-draft.ts';
import { BURSTS } from '../../monitor/src/sound/pattern.ts';
import { alarmKey, burstDue, LOST_KEY, QUIET_MS, soundingKeys } from '../../monitor/src/sound/policy.ts';
import { type PhoneFacts, readinessOf } from '../../monitor/src/sound/readiness.ts';
import { setAside, standing } from '../../monitor/src/words/alarms.ts';
import { numberFault, parseNumber } from '../../monitor/src/words/number.ts';
import { readingView } from '../../monitor/src/words/reading.ts';
import { besideText, localText, temperatureText } from '../../monitor/src/words/temperature.ts';
import { cutById, cuts } from '../../shared/food/cuts.ts';
import { numberText } from '../../shared/units/temperature.ts';
import type { AlarmView } from '../../shared/wire/alarm.ts';
import { bagSpecSchema } from '../../shared/wire/command.ts';
import { ERRORS } from '../../shared/wire/errors.ts';
import { alarmsOf } from '../browser/fake-alarms.ts';
import { bagViewFixture } from './bag-view.ts';

describe('Temperatures in words', () => {
  // 135 °F is the hot-holding limit of the Food Code 2022, 3-501.16; NIST SP 811: t/°F = 1.8 t/°C + 32.
  test('of the controller follow the choice of unit, differences without the offset', () => {
    expect(localText('Seen 57.2 °C, expected 74 °C', 'F')).toBe('Seen 135.0 °F, expected 165 °F');
    expect(localText('falling by 0.5 K a minute', 'F')).toBe('falling by 0.9 °F a minute');
    expect(localText('falling by 0.5 K a minute', 'C')).toBe('falling by 0.5 °C a minute');
    expect(localText('Saw 70.0 °C; expected within 1 °C of 74.0 °C.', 'F')).toBe(
      'Saw 158.0 °F; expected within 2 °F of 165.2 °F.',
    );
    expect(localText('Below 57.2 °C (135 °F) it grows', 'F').replaceAll('\u00a0', ' ')).toBe(
      'Below 135 °F it grows',
    );
    expect(localText('Below 57.2 °C (135 °F) it grows', 'C').replaceAll('\u00a0', ' ')).toBe(
      'Below 57.2 °C it grows',
    );
  });

  test('have a true minus sign, from the controller and from the page, and never one on nought', () => {
    expect(localText('last by -2.2 °C in a second; expected less than 1 °C', 'C')).toBe(
      'last by −2.2 °C in a second; expected less than 1 °C',
    );
    expect(localText('Saw −18.0 °C and -5.0 °C', 'F')).toBe('Saw −0.4 °F and 23.0 °F');
    expect(localText('changed by -2.0 K', 'C')).toBe('changed by −2.0 °C');
    // A span written with a hyphen is no minus.
    expect(localText('50-130 F', 'F')).not.toContain('−');
    expect(temperatureText(-18, 'C')).toBe('−18.0 °C');
    expect(temperatureText(-0.01, 'C')).toBe('0.0 °C');
    expect(numberText(-2.26, 1)).toBe('−2.3');
  });

  test('of every refusal lose all °C when °F is chosen', () => {
    for (const entry of Object.values(ERRORS)) {
      expect(localText(`${entry.cause} ${entry.action}`, 'F')).not.toContain('°C');
    }
    expect(localText(ERRORS['setpoint-low'].action, 'F')).toContain('1.8 °F under the setpoint');
  });

  test('say how far the bath is from its setpoint', () => {
    expect(besideText(73.6, 74, 'C')).toBe('0.4 °C under');
    expect(besideText(75, 74, 'F')).toBe('1.8 °F over');
    expect(besideText(74.01, 74, 'C')).toBe('at');
  });
});

describe('The big number', () => {
  const bath = { celsius: 73.9, quality: 'good', ageMs: 400 } as const;
  test('is current only while good, fresh and connected', () => {
    expect(readingView(bath, 600, true)).toMatchObject({
      current: true,
      words: 'Good reading, measured 1 s ago',
    });
    expect(readingView(bath, 6000, true)).toMatchObject({
      current: false,
      words: 'Old reading, measured 6 s ago',
    });
    expect(readingView(bath, 600, false)).toMatchObject({
      current: false,
      words: 'Last known, measured 1 s ago',
    });
  });
  test('is no number at all where the reading is not good', () => {
    for (const quality of [
      ...(['absent', 'crc', 'range', 'power-on', 'open', 'shorted', 'saturated', 'offline'] as const),
    ]) {
      const view = readingView({ celsius: 85, quality, ageMs: 100 }, 0, true);
      expect(view).toMatchObject({ celsius: null, current: false });
      expect(view.words).toMatch(/^No reading/);
    }
    expect(readingView({ celsius: null, quality: 'good', ageMs: 0 }, 0, true).current).toBe(false);
    expect(readingView({ celsius: 70, quality: 'good', ageMs: null }, 0, true).current).toBe(false);
  });
});

describe('Alarms on the page', () => {
  const list = alarmsOf(1_764_000_000_000);
  const made = (change: Partial<AlarmView>): AlarmView => ({ ...list[0]!, ...change });
  test('stand in order: nobody has acknowledged, then priority, then age; shelved ones are listed apart', () => {
    expect(standing(list).map((alarm) => alarm.priority)).toEqual(['high', 'low', 'medium']);
    const shelved = [...list, made({ alarmId: 'bath-high', state: 'shelved' })];
    expect(standing(shelved)).toHaveLength(3);
    expect(setAside(shelved).map((alarm) => alarm.alarmId)).toEqual(['bath-high']);
  });
  const ask = {
    alarms: list,
    lostWithCook: false,
    nowMs: 1000,
    quietUntilMs: 0,
    quietKeys: new Set<string>(),
  };
  test('sound by the highest priority that nobody has acknowledged', () => {
    expect(burstDue(ask)).toBe('high');
    expect(burstDue({ ...ask, alarms: [made({ state: 'acknowledged' })] })).toBeNull();
    expect(burstDue({ ...ask, alarms: [made({ state: 'latched' })] })).toBeNull();
    expect(burstDue({ ...ask, alarms: [], lostWithCook: true })).toBe('medium');
    expect(burstDue({ ...ask, alarms: [made({ priority: 'low' })], lostWithCook: true })).toBe('medium');
  });
  test('can be quieted for two minutes, but not what comes after, nor what comes anew', () => {
    const quiet = { ...ask, quietUntilMs: 1000 + QUIET_MS, quietKeys: soundingKeys(list, false) };
    expect(burstDue(quiet)).toBeNull();
    expect(burstDue({ ...quiet, nowMs: 1000 + QUIET_MS })).toBe('high');
    expect(burstDue({ ...quiet, alarms: [made({ sinceMs: list[0]!.sinceMs + 5000 })] })).toBe('high');
    expect(burstDue({ ...quiet, lostWithCook: true })).toBe('medium');
    expect(soundingKeys(list, true)).toContain(LOST_KEY);
    expect(soundingKeys(list, true)).not.toContain(alarmKey(list[1]!));
  });
  test('differ in rhythm, and no burst runs into its repetition', () => {
    const counts = Object.values(BURSTS).map((burst) => burst.pulses.length);
    expect(new Set(counts).size).toBe(3);
    for (const burst of Object.values(BURSTS)) {
      expect(burst.pulses.at(-1)!.atS + burst.pulses.at(-1)!.lengthS).toBeLessThan(burst.everyS);
    }
  });
});

describe('Whether this phone can alarm now', () => {
  const all: PhoneFacts = { audio: 'running', visible: true, connected: true, wake: 'held', secure: true };
  test('is yes only with sound, view and connection', () => {
    expect(readinessOf(all).canAlarm).toBe(true);
    for (const change of [
      { audio: 'locked' },
      { audio: 'interrupted' },
      { audio: 'unsupported' },
      { visible: false },
      { connected: false },
    ] as const) {
      expect(readinessOf({ ...all, ...change }).canAlarm).toBe(false);
    }
  });
  test('says on plain http that the screen must be kept on by hand', () => {
    const plain = readinessOf({ ...all, wake: 'unsupported', secure: false });
    expect(plain.headline).toContain('while its screen is on');
    expect(plain.lines.some((line) => !line.ok && line.text.includes('plain http'))).toBe(true);
  });
});

describe('The form of a bag', () => {
  test('gives what the controller takes, for every cut of the list', () => {
    for (const cut of cuts) {
      const draft = {
        ...emptyDraft('F'),
        ...usualOf(cut, []),
        thicknessMm: '62,5',
        start: '39',
        massKg: '1.9',
      };
      const made = specOf(draft, 'bag-1');
      expect(made).toMatchObject({ ok: true });
      if (!made.ok) continue;
      expect(bagSpecSchema.safeParse(made.bag).success).toBe(true);
      expect(made.bag.thicknessMm).toBe(62.5);
      expect(made.bag.startC).toBe(3.89);
    }
  });
  test('lists what is missing, and never guesses a thickness', () => {
    const made = specOf({ ...emptyDraft('C'), ...usualOf(cutById('lamb-shoulder')!, []) }, 'bag-1');
    expect(made).toEqual({ ok: false, missing: ['the thickness'] });
    expect(specOf(emptyDraft('C'), 'x')).toMatchObject({
      ok: false,
      missing: ['a label', 'the cut', 'the thickness'],
    });
  });
  test('numbers labels so that two of the same cut can be told apart', () => {
    const cut = cutById('lamb-shoulder')!;
    const first = usualOf(cut, []).label;
    expect(usualOf(cut, [bagViewFixture({ label: first })]).label).not.toBe(first);
  });
  test('comes back as it went', () => {
    const draft = {
      ...emptyDraft('C'),
      ...usualOf(cutById('pork-neck')!, []),
      thicknessMm: '80',
      start: '4.0',
    };
    const made = specOf(draft, 'bag-1');
    if (!made.ok) throw new Error('expected a bag');
    expect(specOf(draftOf(bagViewFixture(made.bag), 'C'), 'bag-1')).toMatchObject({
      ok: true,
      bag: { beta: expect.closeTo(made.bag.beta, 2), thicknessMm: 80 },
    });
  });
  test('takes numbers with a comma or a point and says what is wrong with others', () => {
    expect(parseNumber(' 1,5 ')).toBe(1.5);
    expect(parseNumber('')).toBeNaN();
    expect(numberFault('12', 5, 200, 'mm')).toBeNull();
    expect(numberFault('4', 5, 200, 'mm')).toContain('from 5 to 200 mm');
    expect(numberFault('1e9x', 5, 200, 'mm')).toContain('1e9x');
  });
});

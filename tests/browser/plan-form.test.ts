import { describe, expect, it } from 'vitest';
import { amountWords } from '../../monitor/src/plan/amounts.ts';
import { emptyDish, emptyDraft, inMass, type PlanDraft, withRequest } from '../../monitor/src/plan/draft.ts';
import { draftOf, formOf } from '../../monitor/src/plan/form-of.ts';
import { gramsText, massText, mmOf, thicknessText } from '../../monitor/src/plan/measures.ts';
import {
  awayText,
  bandText,
  dayHeading,
  dayInSentence,
  spanLine,
  timeText,
} from '../../monitor/src/plan/when.ts';
import { bareTitle, briefly, offeredForm, tight, titleOf } from '../../monitor/src/plan/words.ts';
import { findCut } from '../../shared/plan/find-cut.ts';
import { askedOf, type Known } from '../../shared/plan/form.ts';
import { planBackwards } from '../../shared/plan/plan.ts';
import { readRequest } from '../../shared/plan/request.ts';
import { USUAL_RIG } from '../../shared/plan/rig.ts';
import type { Plan } from '../../shared/plan/types.ts';
import { type PlanForm, planFormSchema } from '../../shared/wire/plan.ts';

const ZONE = 'Europe/Zurich';
/** A Wednesday, 10:00 in Zurich. */
const NOW = Date.parse('2026-11-25T09:00:00Z');
const known: Known = { nowMs: NOW, zone: ZONE, rig: USUAL_RIG, profileId: 'conservative', beliefs: {} };

function supper(part: Partial<PlanDraft> = {}): PlanDraft {
  const dish = { ...emptyDish(1), cutId: 'lamb-shoulder', mass: '2' };
  return { ...emptyDraft('C', 'kg', ZONE), dishes: [dish], people: '8', time: '19:30', ...part };
}

function formed(draft: PlanDraft): PlanForm {
  const made = formOf(draft, NOW);
  if (!made.ok) throw new Error(made.missing.join(', '));
  return made.form;
}

const planOf = (form: PlanForm): Plan => planBackwards(askedOf(form, known));

describe('the form of a plan', () => {
  it('asks only for what, how much or for how many, and when', () => {
    const nothing = formOf(emptyDraft('C', 'kg', ZONE), NOW);
    expect(nothing.ok ? [] : nothing.missing).toEqual([
      'the cut',
      'how much, or for how many',
      'when it is to be on the table',
    ]);
    expect(formed(supper())).toEqual({
      serveBy: '19:30',
      zone: ZONE,
      peopleCount: 8,
      dishes: [{ cut: 'lamb-shoulder', massKg: 2 }],
    });
    expect(formOf(supper({ people: '' }), NOW).ok).toBe(true);
    expect(formOf({ ...supper(), dishes: [{ ...emptyDish(1), cutId: 'lamb-shoulder' }] }, NOW).ok).toBe(true);
  });

  it('names a figure that is none instead of planning with it', () => {
    const bad = formOf(supper({ bath: 'hot' }), NOW);
    expect(bad.ok ? [] : bad.missing).toEqual(['the bath (“hot” is no number)']);
  });

  it('means today and tomorrow by the wall clock of the kitchen', () => {
    expect(formed(supper({ day: 'today' })).serveBy).toBe('2026-11-25 19:30');
    expect(formed(supper({ day: 'tomorrow' })).serveBy).toBe('2026-11-26 19:30');
    expect(formed(supper({ day: 'today', zone: 'Pacific/Auckland' })).serveBy).toBe('2026-11-25 19:30');
    // 22:00 in Auckland: an hour and a half later it is tomorrow there, and still Wednesday morning in Zurich.
    const late = formOf(supper({ day: 'today', zone: 'Pacific/Auckland' }), NOW + 3 * 3_600_000);
    expect(late.ok && late.form.serveBy).toBe('2026-11-26 19:30');
  });

  it('turns every unit into those of the planner and back without loss', () => {
    const typed = supper({
      unit: 'F',
      mass: 'lb',
      bath: '165',
      fridge: '39',
      odds: '90',
      lid: 'off',
      fill: '113',
      wakeAtNight: true,
      serveFrom: 'fridge',
    });
    const dish = { ...typed.dishes[0]!, mass: '4.4', thickness: '2.5', pieces: '2', saltPercent: '1.8' };
    const form = formed({
      ...typed,
      dishes: [{ ...dish, cure: 'packed', cureHours: '10', endpoint: 'shreds' }],
    });
    // The pound is 0.45359237 kg and the inch 25.4 mm exactly (international yard and pound agreement, 1959).
    expect(form.dishes[0]!.massKg).toBeCloseTo(4.4 * 0.45359237, 9);
    expect(form.dishes[0]!.thicknessMm).toBe(63.5);
    expect(form.bathC).toBe(73.89);
    expect(form.rig).toEqual({ lidOn: false, fillC: 45 });
    expect(form.oddsFraction).toBe(0.9);
    expect(form.night).toBeNull();
    expect(planFormSchema.safeParse(form).success).toBe(true);
    const again = formed(draftOf(form, 'C', 'kg'));
    expect(again).toMatchObject({
      ...form,
      dishes: [{ ...form.dishes[0], massKg: 2, thicknessMm: 64 }],
      bathC: 73.9,
      fridgeC: 3.9,
    });
  });

  it('is filled by one line in words', () => {
    const line = readRequest('lamb shoulder, 2 kg, pork neck, 1.4 kg, 70 mm, eight people, 19:30');
    const draft = withRequest(emptyDraft('C', 'kg', ZONE), line, (words) => findCut(words).id);
    expect(draft.dishes.map(({ cutId, mass, thickness }) => [cutId, mass, thickness])).toEqual([
      ['lamb-shoulder', '2', ''],
      ['pork-neck', '1.4', '70'],
    ]);
    expect([draft.people, draft.time]).toEqual(['8', '19:30']);
    expect(inMass(draft, 'g').dishes[0]!.mass).toBe('2000');
  });
});

describe('a plan in words', () => {
  const forms: PlanForm[] = [
    formed(supper()),
    formed(supper({ serveFrom: 'fridge', day: 'date', date: '2026-11-28' })),
    {
      ...formed(supper({ day: 'date', date: '2026-11-28' })),
      dishes: [
        { cut: 'chicken-leg', massKg: 1.2, cure: { method: 'packed', saltPercent: 1.2 } },
        { cut: 'pork-neck', massKg: 3, thicknessMm: 80, endpoint: 'shreds' },
        { cut: 'beef-sirloin', massKg: 1 },
      ],
    },
    { ...formed(supper()), rig: { lidOn: false } },
  ];

  it('has no amount without its number, in either system', () => {
    for (const plan of forms.map(planOf)) {
      expect(plan.steps.length).toBeGreaterThan(10);
      for (const step of plan.steps) {
        for (const show of [{ unit: 'C', mass: 'kg' } as const, { unit: 'F', mass: 'lb' } as const]) {
          const { big, rest } = amountWords(step, show);
          expect([big ?? '', ...rest].join(' ')).not.toMatch(/null|NaN|undefined|—/);
        }
      }
    }
  });

  it('names the dishes it is for, and not the one that cannot share the bath', () => {
    const form = formed(supper({ day: 'date', date: '2026-11-28' }));
    const plan = planOf({ ...form, dishes: [{ cut: 'beef-tenderloin', massKg: 1 }, ...form.dishes] });
    expect(plan.conflicts.map((one) => one.dishId)).toEqual(['beef-tenderloin-1']);
    expect(titleOf(plan)).toBe('Lamb shoulder');
  });

  it('warns of splashes where raw poultry is rinsed, and has the sink disinfected', () => {
    const plan = planOf(forms[2]!);
    const rinse = plan.steps.find((step) => step.kind === 'rinse')!;
    // Do not wash raw poultry without need; clean and sanitise the sink (USDA FSIS consumer advice), from memory.
    expect(rinse.cautions.join(' ')).toMatch(/drops with bacteria/i);
    expect(rinse.cautions.join(' ')).toMatch(/disinfect/i);
  });

  it('says dishes as a cook would, and a figure once', () => {
    const plan = planOf(forms[0]!);
    const salt = plan.steps.find((step) => step.kind === 'cure')!;
    expect(salt.title).toBe('Salt lamb shoulder: 30 g');
    expect(bareTitle(salt.title, '30 g of salt')).toBe('Salt lamb shoulder');
    expect(bareTitle('Bath on: 72 C', 'one bag')).toBe('Bath on: 72 C');
    const out = plan.steps.find((step) => step.kind === 'out')!;
    expect(out.title).toBe('Lamb shoulder out of the bath');
    expect(tight('30 g of salt in 2 h, 2 handfuls')).toBe('30\u00a0g of salt in 2\u00a0h, 2 handfuls');
    expect(briefly('One. Two is longer. Three.', 12)).toBe('One.');
  });

  it('offers ways that do what they say when they are taken', () => {
    const form = formed(supper({ day: 'today', time: '21:30' }));
    const short = planOf(form);
    expect(short.status).toBe('odds-short');
    expect(short.offers.map((offer) => offer.id)).toContain('next-day');
    for (const offer of short.offers) {
      const taken = planOf(offeredForm(form, short, offer.change));
      // Offers reckon each dish alone; taken together with the bath they may lose a little.
      if (offer.oddsFraction !== null) expect(taken.oddsFraction).toBeGreaterThan(offer.oddsFraction - 0.12);
      else expect(['odds-met', 'odds-short']).toContain(taken.status);
    }
    const offer = short.offers.find((one) => one.id === 'next-day')!;
    expect(planOf(offeredForm(form, short, offer.change)).status).toBe('odds-met');
  });
});

describe('times and weights in words', () => {
  const at = (text: string) => Date.parse(text);

  it('name the day as people do, by the zone of the plan', () => {
    // 25 November 2026 is a Wednesday (ISO 8601 calendar, by Intl).
    expect(new Intl.DateTimeFormat('en-GB', { weekday: 'long', timeZone: ZONE }).format(NOW)).toBe(
      'Wednesday',
    );
    expect(dayHeading(NOW, NOW, ZONE)).toBe('Today, Wednesday 25 November');
    expect(dayHeading(at('2026-11-25T23:30:00Z'), NOW, ZONE)).toBe('Tomorrow, Thursday 26 November');
    expect(dayHeading(at('2026-12-01T12:00:00Z'), NOW, ZONE)).toBe('Tuesday 1 December');
    expect(dayInSentence(at('2026-11-26T12:00:00Z'), NOW, ZONE)).toBe('tomorrow, Thursday 26 November');
    expect(dayInSentence(at('2026-11-28T12:00:00Z'), NOW, ZONE)).toBe('Saturday 28 November');
    expect(timeText(at('2026-11-25T18:30:00Z'), NOW, ZONE)).toBe('19:30');
    expect(timeText(at('2026-11-26T18:30:00Z'), NOW, ZONE)).toBe('tomorrow 19:30');
    expect(timeText(at('2026-11-28T18:30:00Z'), NOW, ZONE)).toBe('Sat 19:30');
  });

  it('say how far off, and a band and a span as such', () => {
    expect(awayText(NOW + 30_000, NOW)).toBe('now');
    expect(awayText(NOW + 460 * 60_000, NOW)).toBe('in 7 h 40 min');
    expect(awayText(NOW - 12 * 60_000, NOW)).toBe('12 min ago');
    expect(bandText([NOW, NOW + 3_600_000], ZONE)).toBe('99 times in 100 between 10:00 and 11:00');
    // "Tomorrow" counts from now, never from another time on the page or on paper.
    const late = NOW + 12 * 3_600_000;
    expect(bandText([late, late + 3 * 3_600_000], ZONE)).toBe('99 times in 100 between 22:00 and 01:00');
    expect(spanLine(late + 6 * 3_600_000, late + 30 * 3_600_000, NOW, ZONE)).toBe(
      'tomorrow 04:00 to Fri 04:00',
    );
    expect(spanLine(NOW + 3_600_000, NOW + 7_200_000, NOW, ZONE)).toBe('11:00 to 12:00');
    expect(spanLine(NOW - 1, NOW + 7_200_000, NOW, ZONE)).toBe('now to 12:00');
    expect(spanLine(null, null, NOW, ZONE)).toMatch(/not within/);
    expect(spanLine(NOW + 3_600_000, null, NOW, ZONE)).toMatch(/perhaps not for days/);
  });

  it('show weights as the kitchen’s scale does', () => {
    expect([massText(2, 'kg'), massText(0.85, 'kg'), massText(2, 'g')]).toEqual(['2 kg', '850 g', '2000 g']);
    // 2 kg / 0.45359237 = 4.409 lb; 0.2 kg = 7.05 oz.
    expect([massText(2, 'lb'), massText(0.2, 'lb')]).toEqual(['4.41 lb', '7.1 oz']);
    expect(gramsText(30, 'lb')).toBe('30 g');
    expect(thicknessText(63.5, 'lb')).toBe('2.5 in');
    expect(mmOf(2.5, 'lb')).toBe(63.5);
  });
});

import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { betaOf } from '../../shared/food/beta.ts';
import { coreC, makeGrid, startProfile, stepProfile } from '../../shared/food/conduction.ts';
import { filmFor } from '../../shared/food/film.ts';
import { isChilling } from '../../shared/hazard/chill.ts';
import { addLethality, startLethality } from '../../shared/hazard/lethality.ts';
import { chooseStandard } from '../../shared/hazard/standards/choose.ts';
import { standardById } from '../../shared/hazard/standards/index.ts';
import { startTrack, type Track } from '../../shared/hazard/track.ts';
import { creditTrack, stepTrack, type WaterStretch } from '../../shared/hazard/track-step.ts';
import { trackVerdicts } from '../../shared/hazard/track-verdicts.ts';
import { trackCore, trackResult } from '../../shared/hazard/track-view.ts';
import { cutNamed } from './envelope-draws.ts';

const H = 3600;
const cut = cutNamed('lamb-shoulder');
const chosen = chooseStandard(cut);
const film = filmFor({ circulation: 'pumped', waterC: 65 });

const bag = (thicknessMm = 70) =>
  startTrack({
    cut,
    thicknessMm,
    beta: betaOf(cut.typicalShape),
    startC: 4,
    standardIds: [chosen.primary, ...chosen.others].map((s) => s.id),
    profileId: 'conservative',
    species: cut.species,
    roast: true,
  });

/** Through straight stretches of water: [hours at the end, C there]; more than a bend may be said of one. */
type Bend = readonly [hours: number, celsius: number, more?: Partial<WaterStretch>];
function through(track: Track, bends: readonly Bend[], stepS = 60): Track {
  let state = track;
  bends.slice(1).forEach(([h1, c1, more], i) => {
    const [h0, c0] = bends[i]!;
    const steps = Math.max(1, Math.round(((h1 - h0) * H) / stepS));
    for (let k = 0; k < steps; k++) {
      const at = (j: number) => c0 + ((c1 - c0) * j) / steps;
      state = stepTrack(state, {
        fromC: at(k),
        toC: at(k + 1),
        seconds: ((h1 - h0) * H) / steps,
        atS: h0 * H + ((h1 - h0) * H * (k + 1)) / steps,
        film,
        cooling: false,
        ...more,
      });
    }
  });
  return state;
}

const night: Bend[] = [
  [0, 74],
  [10, 74],
];

describe('a bag under way', () => {
  it('is plain data: through JSON at any moment it goes on to the same bits', () => {
    const first = through(bag(), [
      [0, 74],
      [2.5, 74],
    ]);
    const thawed = JSON.parse(JSON.stringify(first)) as Track;
    expect(thawed).toEqual(first);
    const on: Bend[] = [
      [2.5, 74],
      [5, 60],
    ];
    expect(through(thawed, on)).toEqual(through(first, on));
  });

  it('has a middle that is the conduction model and the integrator as they stand', () => {
    const track = through(bag(), night);
    const grid = makeGrid(track.setup.members[1].body);
    let profile = startProfile(grid, 4);
    let state = startLethality(chosen.primary);
    for (let atS = 60; atS <= 10 * H; atS += 60) {
      const from = coreC(profile);
      profile = stepProfile(grid, profile, { film: film.middle, fromC: 74, toC: 74 }, 60);
      state = addLethality(chosen.primary, state, from, coreC(profile), 60, atS);
    }
    expect(trackCore(track).middleC).toBeCloseTo(coreC(profile), 9);
    expect(track.middle.lethality[0]!.log10).toBeCloseTo(state.log10, 6);
    expect(track.middle.lethality[0]!.metAtS).toBeCloseTo(state.metAtS!, 3);
  });

  it('judges each hazard no better in the worst case than in the middle', () => {
    for (const bends of [
      night,
      [
        [0, 60],
        [2, 60],
        [4, 40],
        [5, 62],
        [9, 62],
      ] as Bend[],
    ]) {
      const { middle, worst, core } = trackResult(through(bag(), bends), bends.at(-1)![0] * H);
      expect(core.lowC).toBeLessThan(core.middleC);
      expect(core.highC).toBeGreaterThan(core.middleC);
      middle.lethality.forEach((m, i) => {
        expect(worst.lethality[i]!.log10).toBeLessThanOrEqual(m.log10);
        if (worst.lethality[i]!.metAtS !== null)
          expect(worst.lethality[i]!.metAtS).toBeGreaterThanOrEqual(m.metAtS!);
      });
      expect(worst.growth.log10).toBeGreaterThanOrEqual(middle.growth.log10);
      expect(worst.limits.comeUpS).toBeGreaterThanOrEqual(middle.limits.comeUpS);
      expect(worst.limits.dangerS).toBeGreaterThanOrEqual(middle.limits.dangerS);
    }
  });

  it('credits no lethality through a gap in the readings, and breaks the running hold', () => {
    const before = through(bag(), night);
    const gap = through(before, [
      [10, 74],
      [10.5, 74, { gap: true }],
    ]);
    expect(gap.worst.lethality.map((s) => s.log10)).toEqual(before.worst.lethality.map((s) => s.log10));
    expect(gap.worst.lethality[0]!.dwell!.sinceS).toEqual([]);
    expect(gap.worst.lethality[0]!.dwell!.metAtS).toBe(before.worst.lethality[0]!.dwell!.metAtS);
  });

  it('gives through a gap the colder end to the slow case and the hotter to the fast', () => {
    const gap = through(
      bag(),
      [
        [0, 50],
        [2, 74, { gap: true }],
      ],
      7200,
    );
    const known = through(bag(), [
      [0, 50],
      [2, 74],
    ]);
    expect(coreC(gap.profiles[0]!)).toBeLessThan(coreC(known.profiles[0]!));
    expect(coreC(gap.profiles[2]!)).toBeGreaterThan(coreC(known.profiles[2]!));
  });

  it('credits nothing while the bag is afloat or partly out of the water', () => {
    for (const state of ['afloat', 'partly-out'] as const) {
      const out = filmFor({ circulation: 'pumped', waterC: 65, bag: state });
      const track = through(bag(), [
        [0, 74],
        [10, 74, { film: out }],
      ]);
      expect(track.worst.lethality[0]!.log10).toBe(0);
      expect(track.middle.lethality[0]!.log10).toBe(0);
      expect(coreC(track.profiles[0]!)).toBeCloseTo(track.setup.members[0].startC, 6);
    }
  });

  it('takes a credited core in place of the coldest modelled one', () => {
    const begun = bag();
    const water = { fromC: 74, toC: 74, seconds: 10 * H, atS: 10 * H, film, cooling: false };
    const colder = creditTrack(begun, stepTrack(begun, water), water, { fromC: 50, toC: 50 });
    expect(colder.worst.lethality[0]!.log10).toBe(0);
    expect(colder.middle.lethality[0]!.log10).toBeGreaterThan(6.5);
  });

  it('holds once cooked, cools once taken out, and keeps what was broken before', () => {
    const slow = through(bag(110), [
      [0, 56],
      [9, 56],
      [12, 75],
      [16, 75],
    ]);
    const cold = through(slow, [
      [16, 2, { cooling: true }],
      [24, 2, { cooling: true }],
    ]);
    const { limits } = trackResult(cold, 24 * H).worst;
    expect(limits.breaches.map((b) => b.limit)).toEqual(['come-up', 'cooling']);
    expect(limits.comeUpS).toBe(trackResult(slow, 16 * H).worst.limits.comeUpS);
    expect(limits.cooling!.length).toBe(2);
    expect(trackResult(slow, 16 * H).worst.limits.cooling).toBeNull();
  });

  it('slows a published D in the worst case but never a table, which is a rule', () => {
    const factor = bag().setup.members[0].dFactor;
    expect(factor).toBeGreaterThan(1);
    const hot = { ...bag(), profiles: bag().profiles.map((p) => p.map(() => 61)) };
    const held = stepTrack(hot, { fromC: 61, toC: 61, seconds: 60, atS: 60, film, cooling: false });
    held.setup.standardIds.forEach((id, i) => {
      const standard = standardById(id);
      const state = addLethality(standard, startLethality(standard), 60.5, 60.5, 60, 60);
      const expected = standard.kind === 'dz' ? state.log10 / factor : state.log10;
      expect(held.worst.lethality[i]!.log10, id).toBeCloseTo(expected, 6);
    });
  });

  it('is put into words worst case by worst case, what is broken first', () => {
    const slow = through(bag(110), [
      [0, 56],
      [9, 56],
      [12, 75],
      [16, 75],
    ]);
    const verdicts = trackVerdicts(slow, 16 * H);
    expect(verdicts[0]).toMatchObject({ status: 'broken' });
    expect(verdicts[0]!.words).toContain('54.4 C');
    const salmonella = verdicts.find((v) => v.rule === chosen.primary.name)!;
    expect(salmonella.status).toBe('kept');
    expect(verdicts.filter((v) => v.status === 'broken').every((v) => v.asks !== null)).toBe(true);
    // Beside the first standard, its limits and growth, every other standard speaks once.
    expect(new Set(verdicts.map((v) => v.rule)).size).toBe(verdicts.length);
  });

  it('refuses what it does not know, by name', () => {
    expect(() =>
      startTrack({ ...bag().setup, cut, thicknessMm: 70, beta: 0, startC: 4, profileId: 'mars' }),
    ).toThrow(/conservative/);
    expect(() =>
      startTrack({ ...bag().setup, cut, thicknessMm: 70, beta: 0, startC: 4, standardIds: ['x'] }),
    ).toThrow(/fsis-meat-6\.5/);
  });
});

describe('chilling that nobody declared', () => {
  it('begins when cooked food lies in water under 21.1 C and ends when the water is hot again', () => {
    expect(isChilling(false, true, 20)).toBe(true);
    expect(isChilling(false, false, 20)).toBe(false);
    expect(isChilling(false, true, 40)).toBe(false);
    expect(isChilling(true, true, 40)).toBe(true);
    expect(isChilling(true, true, 60)).toBe(false);
  });
});

describe('food colder than a bath that never falls, at a fixed film', () => {
  const standard = standardById('fsis-meat-6.5');
  const log10 = (thicknessMm: number, baths: readonly number[]) => {
    const grid = makeGrid({
      thicknessM: thicknessMm / 1000,
      beta: 0.3,
      diffusivity: 1.3e-7,
      conductivity: 0.48,
    });
    let profile = startProfile(grid, 5);
    let state = startLethality(standard);
    baths.slice(1).forEach((toC, i) => {
      const from = coreC(profile);
      profile = stepProfile(grid, profile, { film: 200, fromC: baths[i]!, toC }, 600);
      state = addLethality(standard, state, from, coreC(profile), 600, 600 * (i + 1));
    });
    return state.log10;
  };
  const rising = fc
    .array(fc.double({ min: 0, max: 1.5, noNaN: true }), { minLength: 20, maxLength: 40 })
    .map((steps) => {
      let celsius = 50;
      return [celsius, ...steps.map((s) => (celsius += s))];
    });

  it('never gains less for a hotter bath', () => {
    fc.assert(
      fc.property(rising, fc.double({ min: 0, max: 10, noNaN: true }), (baths, more) => {
        expect(
          log10(
            50,
            baths.map((c) => c + more),
          ),
        ).toBeGreaterThanOrEqual(log10(50, baths) - 1e-9);
      }),
      { numRuns: 60 },
    );
  });

  it('never gains more for being thicker', () => {
    fc.assert(
      fc.property(
        rising,
        fc.double({ min: 20, max: 80, noNaN: true }),
        fc.double({ min: 0, max: 30, noNaN: true }),
        (baths, mm, more) => {
          const thin = log10(mm, baths);
          expect(log10(mm + more, baths)).toBeLessThanOrEqual(thin * (1 + 1e-6) + 1e-9);
        },
      ),
      { numRuns: 60 },
    );
  });
});

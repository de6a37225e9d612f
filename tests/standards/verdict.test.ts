import { describe, expect, it } from 'vitest';
import { addGrowth, growthResult, startGrowth } from '../../shared/hazard/growth.ts';
import { growthModelsFor } from '../../shared/hazard/growth-models.ts';
import { addLethality, startLethality } from '../../shared/hazard/lethality.ts';
import { addLimits, coolingResults, coreStep, limitResult, startLimits } from '../../shared/hazard/limits.ts';
import { limitProfile } from '../../shared/hazard/profiles.ts';
import { type DzStandard, standardById, standards } from '../../shared/hazard/standards/index.ts';
import { type StorageAsked, storageAdvice } from '../../shared/hazard/storage.ts';
import { DEFER, growthVerdict, lethalityVerdict, limitVerdicts } from '../../shared/hazard/verdict.ts';

const profile = limitProfile('conservative');
const meat = standardById('fsis-meat-6.5');

describe('a verdict', () => {
  it('says the standard in its own terms and the integral as an equivalent, with its source', () => {
    const state = addLethality(meat, startLethality(meat), 60, 60, 720, 10_000);
    const verdict = lethalityVerdict(meat, state, 10_000, 60);
    expect(verdict).toMatchObject({ status: 'kept', asks: null, source: meat.source });
    expect(verdict.words).toContain('140 F (60.0 C), 12 min');
    expect(verdict.words).toContain('equivalent to 6.5 of 6.5 log');
  });

  it('is not kept by the integral alone where the standard words a holding time (FSIS-GD-2021-0014, Table 2)', () => {
    // 140 F asks 12 min at a stretch: twice 8 min with a dip between is more kill and no hold of the row.
    let state = addLethality(meat, startLethality(meat), 60, 60, 480, 480);
    state = addLethality(meat, state, 50, 50, 60, 540);
    state = addLethality(meat, state, 60, 60, 480, 1020);
    expect(state.log10).toBeGreaterThan(6.5);
    const verdict = lethalityVerdict(meat, state, 1020, 60);
    expect(verdict.status).toBe('not-yet');
    expect(verdict.words).toContain('an equivalent and not what the table words');
    const held = addLethality(meat, state, 60, 60, 240, 1260);
    expect(lethalityVerdict(meat, held, 1260, 60).status).toBe('kept');
    expect(lethalityVerdict(meat, held, 1260, 60).words).not.toContain('not met yet');
  });

  it('is kept by the integral where the record is D and z: there is nothing else to hold it to', () => {
    const guide = standards.find((s) => s.kind === 'dz' && s.targetLog10 !== null) as DzStandard;
    const [low] = guide.rangeC;
    const needS = guide.dRefS * 10 ** ((guide.refC - low) / guide.zC) * (guide.targetLog10 ?? 0);
    const state = addLethality(guide, startLethality(guide), low, low, needS * 1.01, needS * 1.01);
    expect(lethalityVerdict(guide, state, needS * 1.01, low).status).toBe('kept');
  });

  it('tells the published doubt about 54.4 C only where the credit was earned that low', () => {
    const low = addLethality(meat, startLethality(meat), 55, 55, 6000, 6000);
    expect(lethalityVerdict(meat, low, 6000, 55).cautions.join()).toContain('McMinn');
    expect(lethalityVerdict(meat, low, 6000, 62).cautions.join()).not.toContain('McMinn');
  });

  it('says that nothing faster is credited above the range', () => {
    const state = addLethality(meat, startLethality(meat), 80, 80, 60, 60);
    expect(lethalityVerdict(meat, state, 60, 80).cautions.join()).toContain('no faster credit');
  });

  it('of a broken limit says what the rule asks for, that it does not heal, and defers to the person in charge', () => {
    const state = addLimits(profile, startLimits(), coreStep(30, 30, 7 * 3600, 7 * 3600), 'cooking', true);
    const verdicts = limitVerdicts(profile, limitResult(profile, state, 7 * 3600), 'cooking', true);
    const broken = verdicts.filter((v) => v.status === 'broken');
    expect(broken.length).toBe(1);
    expect(broken[0]!.words).toContain('toxins');
    expect(broken[0]!.asks).toContain('S. aureus');
    expect(broken[0]!.asks).toContain(DEFER);
    expect(verdicts[0]).toBe(broken[0]);
  });

  it('of growth says that it is not yet judged before cooling, and warns of growth during a slow come-up', () => {
    const models = growthModelsFor('lamb');
    const slow = growthResult(models, addGrowth(models, startGrowth(), 10, 54, 6 * 3600, false));
    const verdict = growthVerdict(slow);
    expect(verdict.status).toBe('not-yet');
    expect(verdict.cautions.join()).toContain('come-up time');
    const quick = growthResult(models, addGrowth(models, startGrowth(), 10, 54, 3600, false));
    expect(growthVerdict(quick).cautions.join()).not.toContain('come-up time');
  });

  it('does not boast of log reductions far beyond the target', () => {
    const state = addLethality(meat, startLethality(meat), 75, 75, 36_000, 36_000);
    expect(lethalityVerdict(meat, state, 36_000, 75).words).toContain('more than 13 of 6.5 log');
  });

  it('always carries words, a rule and a source', () => {
    const cooled = addLimits(profile, startLimits(), coreStep(60, 30, 3600, 3600), 'cooling', true);
    const models = growthModelsFor('lamb');
    const growth = growthResult(models, addGrowth(models, startGrowth(), 40, 40, 9 * 3600, true));
    const all = [
      ...limitVerdicts(profile, limitResult(profile, cooled, 3600), 'cooling', true),
      growthVerdict(growth),
    ];
    for (const v of all) {
      expect(v.words.length).toBeGreaterThan(20);
      expect(v.rule).not.toBe('');
      expect(v.source).not.toBe('');
      expect(v.asks === null).toBe(v.status !== 'broken');
    }
    expect(growthVerdict(growth).status).toBe('broken');
    expect(growthVerdict(growth).cautions.join()).toContain('unit');
  });
});

describe('storage after chilling (Food Code 3-502.12)', () => {
  const cooled = (hours: number) => {
    let state = addLimits(profile, startLimits(), coreStep(60, 20, 1.5 * 3600, 1.5 * 3600), 'cooling', true);
    state = addLimits(profile, state, coreStep(20, 4, (hours - 1.5) * 3600, hours * 3600), 'cooling', true);
    return coolingResults(profile, state.cooling!, hours * 3600);
  };
  const good: StorageAsked = {
    cooling: cooled(5),
    anyBreach: false,
    fridge: { maxC: 4, recorded: true },
    hasPlan: true,
    rawGarlicOrHerbsInOil: false,
  };
  const refused = (change: Partial<StorageAsked>) => storageAdvice(profile, { ...good, ...change });

  it('gives no store-until without a cooling record, a kept cooling rule and a fridge temperature', () => {
    expect(refused({ cooling: null })).toMatchObject({ forS: null });
    expect(refused({ cooling: null }).words).toContain('not recorded');
    expect(refused({ fridge: null }).words).toContain('fridge');
    expect(refused({ fridge: null }).forS).toBeNull();
    expect(refused({ fridge: { maxC: 7, recorded: true } }).forS).toBeNull();
    expect(refused({ cooling: cooled(9) }).words).toContain('broken');
    expect(refused({ anyBreach: true }).words).toContain(DEFER);
  });

  it('names raw garlic and herbs in oil and gives them no time', () => {
    const advice = refused({ rawGarlicOrHerbsInOil: true });
    expect(advice.forS).toBeNull();
    expect(advice.words).toMatch(/garlic.*herbs in oil.*C\. botulinum/);
  });

  it('gives 48 h without a written plan, with the label as a condition', () => {
    expect(refused({ hasPlan: false })).toMatchObject({ forS: 48 * 3600 });
    expect(refused({ hasPlan: false }).conditions.join()).toContain('label');
  });

  it('gives 7 days under the Food Code with plan and records, 30 in a store at 1 C, and 5 under the conservative profile', () => {
    const code = limitProfile('us-food-code');
    expect(storageAdvice(code, good).forS).toBe(7 * 86_400);
    expect(storageAdvice(code, { ...good, fridge: { maxC: 1, recorded: true } }).forS).toBe(30 * 86_400);
    expect(storageAdvice(code, { ...good, fridge: { maxC: 1, recorded: false } }).forS).toBe(2 * 86_400);
    expect(storageAdvice(profile, good).forS).toBe(5 * 86_400);
  });
});

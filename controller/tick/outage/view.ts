import { limitProfile } from '../../../shared/hazard/profiles.ts';
import { durationText } from '../../../shared/units/duration.ts';
import { numberText } from '../../../shared/units/temperature.ts';
import type { OutageBagView, OutageView } from '../../../shared/wire/outage.ts';
import type { BagTrack, TickState } from '../state.ts';
import { mixingLeftS } from './follow.ts';
import { hotLimitOf } from './measure.ts';
import { optionsFor, unmendable } from './options.ts';
import type { OutageBag, OutageLength, OutageState } from './state.ts';
import { doubtWords, lengthWords } from './words.ts';

/** The power cut that waits for decisions, as the page shows it; null where there is none. */
export function outageView(state: TickState): OutageView | null {
  const { outage } = state;
  if (!outage) return null;
  return {
    sinceMs: outage.sinceMs,
    restartMs: outage.restartMs,
    mixingS: mixingLeftS(state),
    length: outage.length && lengthView(outage.length),
    water: { beforeC: outage.before.waterC, afterC: outage.afterC },
    log: outage.log,
    bags: outage.bags.flatMap((facts) => {
      const bag = state.bags.find(({ spec }) => spec.bagId === facts.bagId);
      return bag ? [bagFacts(state, outage, bag, facts)] : [];
    }),
  };
}

function lengthView(length: OutageLength): NonNullable<OutageView['length']> {
  const { countsS, lowS, highS, clockS, cooling, verdict } = length;
  return {
    countsS,
    lowS,
    highS,
    clockS,
    coolingS: cooling && { low: cooling.lowS, middle: cooling.middleS, high: cooling.highS ?? highS },
    disagree: verdict === 'clock-longer' || verdict === 'cooling-longer',
    words: lengthWords(length),
  };
}

const triple = (values: readonly [number, number, number]): [number, number, number] => [...values];

function bagFacts(state: TickState, outage: OutageState, bag: BagTrack, facts: OutageBag): OutageBagView {
  const hotLimitC = hotLimitOf(state);
  const broken = facts.broken.length + facts.brokenBefore.length > 0;
  const [coldC, , hotC] = facts.afterC;
  const standing = { label: bag.spec.label, broken, met: facts.met, coldC, hotC, hotLimitC };
  const { decision } = facts;
  return {
    bagId: facts.bagId,
    label: bag.spec.label,
    cutName: bag.cutName,
    beforeC: triple(facts.beforeC),
    afterC: triple(facts.afterC),
    grownLog10: Math.max(0, facts.growth[1] - facts.growth[0]),
    growthLog10: facts.growth[1],
    happened: happened(outage, facts, hotLimitC),
    rule: ruleWords(state, facts),
    broken,
    unmendable: unmendable(broken),
    options: optionsFor(standing),
    decision: decision && { ...decision },
    out: bag.outAtMs !== null,
  };
}

const c = (celsius: number) => `${numberText(celsius)} °C`;

function happened(outage: OutageState, facts: OutageBag, hotLimitC: number): string[] {
  const { before, afterC, belowHotS } = outage;
  const [least, likely, most] = belowHotS;
  const water =
    afterC === null
      ? `The water was at ${c(before.waterC)} (measured) when the power went; it could not be measured since.`
      : `The water fell from ${c(before.waterC)} to ${c(afterC)} (measured).`;
  const below =
    most < 1
      ? `It never was below ${c(hotLimitC)} (modelled).`
      : likely < 60
        ? `It may have been below ${c(hotLimitC)} for up to ${durationText(most)} (modelled, worst case).`
        : `It was below ${c(hotLimitC)} for about ${durationText(likely)}, between ${durationText(least)} and ${durationText(most)} (modelled).`;
  const [coldBefore, middleBefore] = facts.beforeC;
  const [coldAfter, middleAfter] = facts.afterC;
  const core = `The core went from about ${c(middleBefore)} to ${c(middleAfter)}; coldest case ${c(coldBefore)} to ${c(coldAfter)} (modelled).`;
  const grown = Math.max(0, facts.growth[1] - facts.growth[0]);
  const growth =
    grown < 0.01
      ? 'Bacteria hardly grew meanwhile, even in the worst case (modelled).'
      : `Bacteria may have grown by up to ${grown.toFixed(1)} log, ${facts.growth[1].toFixed(1)} log in all (C. perfringens, worst case, modelled).${doubtWords(outage)}`;
  return [water, below, core, growth];
}

function ruleWords(state: TickState, facts: OutageBag): string {
  const { name } = limitProfile(state.settings.around.profileId);
  const words = [
    ...facts.broken,
    ...facts.brokenBefore.map((one) => `${one} That was so before the power went.`),
  ];
  const said =
    words.length > 0
      ? words.join(' ')
      : 'No limit of time or temperature was broken, as far as the worst case tells.';
  return `${said} (${name})`;
}

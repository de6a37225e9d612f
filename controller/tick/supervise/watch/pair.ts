import { type Belief, startBelief } from '../../control/identify/kalman.ts';

/**
 * Two probes in one bath. How they differ when all is well (their errors, the layers of the water) is learned as a
 * constant and a part that grows with the heat; from then on a change says that a probe lies or the water stands.
 */
export interface Pair {
  readonly sumC: number;
  readonly goodS: number;
  /** Seconds since the second probe was last heard. */
  readonly silentS: number;
  /** Difference second less bath: at rest, and its change at full heat, degC. */
  readonly belief: Belief;
  readonly learned: number;
  /** Difference not accounted for at the last beat, degC; null while unknown. */
  readonly offC: number | null;
  /** Beats in a row with a difference over the limit, downwards (bath reads higher) and upwards. */
  readonly lowBeats: number;
  readonly highBeats: number;
}

/** Probes of one type differ by up to a degree (data sheet: 0.5 degC each); layers under a pump by some more. */
export const NO_PAIR: Pair = {
  sumC: 0,
  goodS: 0,
  silentS: 0,
  belief: startBelief([0, 0], [0.6, 0.8]),
  learned: 0,
  offC: null,
  lowBeats: 0,
  highBeats: 0,
};

/** What one difference is worth, degC: layers are never quite still. */
const SD_C = 0.06;
/** After so many beats the pair is known and learned no more: a drift must not be taken for the pair's nature. */
const ENOUGH_BEATS = 240;
/** Least number of beats before a difference means anything. */
const FEW_BEATS = 24;
const GATE = 4;
/** A difference over this has another cause than the layers of a stirred bath, degC. */
export const APART_C = 0.4;
/** So many beats apart are no accident. */
export const APART_BEATS = 3;

/** Hears the second probe for a second. */
export function hearSecond(pair: Pair, celsius: number | null, dtS: number): Pair {
  if (celsius === null) return { ...pair, silentS: Math.min(1e6, pair.silentS + dtS) };
  return { ...pair, sumC: pair.sumC + celsius * dtS, goodS: pair.goodS + dtS, silentS: 0 };
}

/** Compares the means of a beat. `arriving` is the share of full heat, `swing` what it varied by of late. */
export function watchPair(
  pair: Pair,
  bathC: number | null,
  arriving: number,
  swing: number,
  teach: boolean,
): Pair {
  const rest = { ...pair, sumC: 0, goodS: 0 };
  if (bathC === null || pair.goodS < 5) {
    // A probe that lied and then fell silent was not right for that: what it last said stands until it is heard.
    const apart = Math.max(pair.lowBeats, pair.highBeats) >= APART_BEATS;
    return { ...rest, offC: apart ? pair.offC : null };
  }
  const differs = pair.sumC / pair.goodS - bathC;
  const expected = pair.belief.mean[0]! + arriving * pair.belief.mean[1]!;
  const { variance } = spread(pair.belief, arriving);
  const offC = differs - expected;
  const settling = Math.abs(pair.belief.mean[1]!) * swing;
  const limit = APART_C + settling + 3 * Math.sqrt(variance);
  const known = pair.learned >= FEW_BEATS;
  const counted = {
    ...rest,
    offC,
    lowBeats: known && offC < -limit ? pair.lowBeats + 1 : 0,
    highBeats: known && offC > limit ? pair.highBeats + 1 : 0,
  };
  const ordinary = Math.abs(offC) < GATE * Math.sqrt(variance + SD_C * SD_C) + settling;
  if (!teach || !ordinary || pair.learned >= ENOUGH_BEATS) return counted;
  return { ...counted, belief: taught(pair.belief, arriving, offC), learned: pair.learned + 1 };
}

function spread({ cov }: Belief, arriving: number): { variance: number; own: number; slope: number } {
  const own = cov[0]! + arriving * cov[1]!;
  const slope = cov[2]! + arriving * cov[3]!;
  return { variance: own + arriving * slope, own, slope };
}

function taught(belief: Belief, arriving: number, offC: number): Belief {
  const { variance, own, slope } = spread(belief, arriving);
  const total = variance + SD_C * SD_C;
  const { mean, cov } = belief;
  return {
    mean: [mean[0]! + (own / total) * offC, mean[1]! + (slope / total) * offC],
    cov: [
      cov[0]! - (own * own) / total,
      cov[1]! - (own * slope) / total,
      cov[2]! - (own * slope) / total,
      cov[3]! - (slope * slope) / total,
    ],
  };
}

/** What single readings say of the probe, second by second. Plain data. */
export interface ReadingWatch {
  readonly lastC: number | null;
  /** For how long the reading has not moved by a digit, s. */
  readonly sameS: number;
  /**
   * Where the water should have gone since the reading last moved, degC: with the lid on, off, and three ways between,
   * and last with no heat arriving at all; and the furthest each of them ever was from where it began.
   */
  readonly pathsC: readonly number[];
  readonly furthestC: readonly number[];
  /** The last move larger than water can make in a second, degC; nought = none. */
  readonly leapC: number;
  readonly leapAgoS: number;
  /** Leaps to and fro, fading. */
  readonly swings: number;
  /** Share of readings lost of late, 0..1. */
  readonly lostShare: number;
}

export const FRESH_READING: ReadingWatch = {
  lastC: null,
  sameS: 0,
  pathsC: [0, 0, 0, 0, 0, 0],
  furthestC: [0, 0, 0, 0, 0, 0],
  leapC: 0,
  leapAgoS: 1e6,
  swings: 0,
  lostShare: 0,
};

const STILL = { pathsC: FRESH_READING.pathsC, furthestC: FRESH_READING.furthestC };

/** Single readings of a sound probe lie closer together than this, degC: five times the noise (0.3) of the worst that is sound. */
export const LEAP_C = 1.5;
/** A leap back within this time makes a swing, s. */
const BACK_S = 20;
const FADE_S = 30;
const LOST_OVER_S = 60;

/**
 * Takes in one reading (null = none), how fast the model says the water moves, how much faster it may cool with the
 * lid off, and how fast it cools with the lid on and no heat, degC/s.
 */
export function watchReading(
  watch: ReadingWatch,
  celsius: number | null,
  modelCPerS: number,
  lidCPerS: number,
  lossCPerS: number,
  dtS: number,
): ReadingWatch {
  const blend = Math.min(1, dtS / LOST_OVER_S);
  const sameS = Math.min(1e6, watch.sameS + dtS);
  const leapAgoS = Math.min(1e6, watch.leapAgoS + dtS);
  const swings = watch.swings * Math.exp(-dtS / FADE_S);
  if (celsius === null) {
    const lostShare = watch.lostShare + blend * (1 - watch.lostShare);
    return {
      ...watch,
      ...gone(watch, modelCPerS, lidCPerS, lossCPerS, dtS),
      sameS,
      leapAgoS,
      swings,
      lostShare,
    };
  }
  const lostShare = watch.lostShare - blend * watch.lostShare;
  const move = watch.lastC === null ? 0 : celsius - watch.lastC;
  const moved = move !== 0 || watch.lastC === null;
  const leapt = Math.abs(move) > LEAP_C;
  const back = leapt && move * watch.leapC < 0 && leapAgoS <= BACK_S;
  return {
    lastC: celsius,
    sameS: moved ? 0 : sameS,
    ...(moved ? STILL : gone(watch, modelCPerS, lidCPerS, lossCPerS, dtS)),
    leapC: leapt ? move : watch.leapC,
    leapAgoS: leapt ? 0 : leapAgoS,
    swings: back ? swings + 1 : swings,
    lostShare,
  };
}

function gone(
  { pathsC, furthestC }: ReadingWatch,
  modelCPerS: number,
  lidCPerS: number,
  lossCPerS: number,
  dtS: number,
): Pick<ReadingWatch, 'pathsC' | 'furthestC'> {
  const dead = pathsC.length - 1;
  const paths = pathsC.map((path, i) => {
    const rate = i === dead ? -lossCPerS : modelCPerS - (i / (dead - 1)) * lidCPerS;
    return path + rate * dtS;
  });
  return { pathsC: paths, furthestC: furthestC.map((most, i) => Math.max(most, Math.abs(paths[i]!))) };
}

/** The least that the water must have moved since the reading last did, wherever the lid was and heat or none, degC. */
export function mustHaveMovedC({ furthestC }: ReadingWatch): number {
  return Math.min(...furthestC);
}

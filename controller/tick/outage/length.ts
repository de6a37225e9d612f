import { type Curve, coolingCurve, LONGEST_S, lossSpread, type Pond, reaches, type Way } from './cooling.ts';
import type { CoolingTime, OutageLength } from './state.ts';

/** The three ways of cooling that bound what the water did. */
export interface Curves {
  /** Lid on: likely, and the slowest it may have been. */
  readonly middle: Curve;
  readonly slow: Curve;
  /** Lid on, the quickest; and with the lid off from the first moment. */
  readonly quick: Curve;
  readonly lidOff: Curve;
}

/** What is known of the room. */
export interface Room {
  readonly beforeC: number;
  readonly afterC: number;
  /** A probe measures it. */
  readonly known: boolean;
}

/** Two standard deviations: 95 %. */
const Z = 2;
/** A probe in the room is off by so much, and the room was not the same all the while, degC. */
const ROOM_SD_C = 1.5;
/** Where nobody measures it: a cold hut and a warm kitchen. */
const COLD_ROOM_C = 6;
const WARM_ROOM_C = 30;
/** Weighed food is known this well, as a share. */
const FOOD_SPREAD = 0.35;
/** Layers, lag and noise leave the two temperatures this uncertain, degC. */
export const ENDS_SD_C = 0.12;

/** The ways the bath may have cooled. */
export function curvesOf(pond: Pond, room: Room): Curves {
  const spread = lossSpread(pond);
  const swing = room.known ? ROOM_SD_C + Math.abs(room.afterC - room.beforeC) / 2 : 0;
  const likelyC = room.known ? (room.beforeC + room.afterC) / 2 : room.beforeC;
  const way = (side: -1 | 0 | 1, lidOff = false): Way => ({
    lossFactor: Math.exp(side * Z * spread),
    lidOff,
    roomC: side === 0 ? likelyC : room.known ? likelyC - side * swing : side > 0 ? COLD_ROOM_C : WARM_ROOM_C,
    roomUnknown: !room.known,
    // Food that is colder than the water cools it, food that is as warm keeps it warm: the middle is its own case.
    foodFactor: side === 0 ? 1 : 1 - side * FOOD_SPREAD * (warms(pond) ? -1 : 1),
  });
  return {
    middle: coolingCurve(pond, way(0)),
    slow: coolingCurve(pond, way(-1)),
    quick: coolingCurve(pond, way(1)),
    lidOff: coolingCurve(pond, way(1, true)),
  };
}

/** The food is on the whole colder than the water. */
function warms({ food, waterC }: Pond): boolean {
  return food.some(({ profile }) => profile[0]! < waterC - 8);
}

/** How long the fall from before to `afterC` took, less `mixedS` that were watched; null where a fall tells nothing. */
export function coolingTime(
  curves: Curves,
  afterC: number,
  mixedS: number,
  identified: boolean,
): CoolingTime {
  const less = (seconds: number) => Math.max(0, seconds - mixedS);
  const off = Z * ENDS_SD_C;
  const high = reaches(curves.slow, afterC - off);
  return {
    middleS: less(reaches(curves.middle, afterC) ?? LONGEST_S),
    lowS: less(reaches(curves.quick, afterC + off) ?? LONGEST_S),
    highS: high === null ? null : less(high),
    lidOffS: less(reaches(curves.lidOff, afterC + off) ?? LONGEST_S),
    identified,
  };
}

/** Two lengths within this are the same, s. */
const SAME_S = 60;

/** Puts clock and cooling together: where they disagree the longer counts. */
export function lengthOf(clockS: number | null, cooling: CoolingTime | null): OutageLength {
  if (cooling === null) {
    const counts = clockS ?? LONGEST_S;
    const least = clockS ?? 0;
    const verdict = clockS === null ? 'unknown' : 'clock-only';
    return {
      verdict,
      countsS: counts,
      lowS: least,
      highS: counts,
      leastS: least,
      mostS: counts,
      clockS,
      cooling,
    };
  }
  const highS = cooling.highS ?? LONGEST_S;
  if (clockS === null) {
    const { middleS: countsS, lidOffS: lowS } = cooling;
    return { verdict: 'cooling-only', countsS, lowS, highS, leastS: lowS, mostS: highS, clockS, cooling };
  }
  return both(clockS, cooling, highS);
}

function both(clockS: number, cooling: CoolingTime, coolingHighS: number): OutageLength {
  const { lowS, lidOffS, middleS } = cooling;
  const common = { clockS, cooling };
  if (clockS > coolingHighS + SAME_S) {
    return {
      verdict: 'clock-longer',
      countsS: clockS,
      lowS: lidOffS,
      highS: clockS,
      leastS: lidOffS,
      mostS: clockS,
      ...common,
    };
  }
  if (clockS < lowS - SAME_S) {
    const least = Math.min(clockS, lidOffS);
    return {
      verdict: 'cooling-longer',
      countsS: middleS,
      lowS: least,
      highS: coolingHighS,
      leastS: least,
      mostS: coolingHighS,
      ...common,
    };
  }
  // A lid that was off may have made a short cut look like a long one, and a clock that is wrong by less than would show
  // fits all the same: the cooling bounds it on both sides. A rig that nobody identified has the wider bounds of its kind.
  const least = Math.min(clockS, lowS, lidOffS);
  const most = Math.max(clockS, coolingHighS);
  return {
    verdict: 'agree',
    countsS: clockS,
    lowS: least,
    highS: most,
    leastS: least,
    mostS: most,
    ...common,
  };
}

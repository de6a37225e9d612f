import type { Body } from '../food/conduction.ts';
import type { Cut } from '../food/cut.ts';
import { type Film, filmFor } from '../food/film.ts';
import { thermalProperties } from '../food/properties.ts';

/**
 * How far each thing that nobody knows exactly may be off, as standard deviations (95 % lie within two of them).
 * The probe's error is a limit: every value inside is as likely.
 */
export const SPREADS = {
  /** Of the thickness, relative: a tape over a filled bag (common practice, no source). */
  thickness: 0.05,
  /** Of the diffusivity, relative: measured meats against composition (ASHRAE Refrigeration ch. 9, tables 3 and 7). */
  diffusivity: 0.06,
  /** The same with bone in the piece (from memory). */
  diffusivityBoneIn: 0.1,
  /** Of the food's temperature when it goes in, C: a fridge (common practice, no source). */
  startC: 1,
  /** Of the probe, C either way: DS18B20 data sheet. */
  probeC: 0.5,
  /** Of ln D: published D values about their own line scatter by a factor of 1.2 to 1.6. */
  lnD: 0.2,
} as const;

/** One case of a bag: a body, its start, and how it leans within the film's spread. Plain data. */
export interface EnvelopeMember {
  readonly id: 'slow' | 'middle' | 'fast';
  readonly body: Body;
  readonly startC: number;
  /** -1 the film's low value, 0 its middle, 1 its high value; between in proportion of the logarithm. */
  readonly filmLean: number;
  /** D of every organism is this many times the published one in this case. */
  readonly dFactor: number;
}

/** What the envelope is made from. */
export interface EnvelopeAsked {
  /** Null where only its thermal properties are known. */
  readonly cut: Pick<Cut, 'composition' | 'fatSpread' | 'boneIn'> | null;
  /** m2/s and W/(m K), where somebody gave them; else of the cut, else of usual meat. */
  readonly diffusivity?: number | undefined;
  readonly conductivity?: number | undefined;
  /** Full thickness of the filled bag at its thickest as it lies, mm. */
  readonly thicknessMm: number;
  readonly beta: number;
  /** The food's temperature when it goes in, C. */
  readonly startC: number;
  /** Water for which the film's share of the resistance is judged, C. */
  readonly waterC?: number;
  /** Film between water and food with its spread, as it stands for most of the cook; that of a pumped bath where absent. */
  readonly film?: Film;
}

/**
 * How many standard deviations of the whole the slow and the fast case lie from the middle. Chosen so that draws
 * on cooks with dips and outages stay inside in more than 99 %; see tests/standards/envelope.test.ts.
 */
const RELIABILITY = 3;
/** Properties are taken at this food temperature, the middle of a cook, C. */
const PROPERTIES_AT_C = 45;
/** Lean of 1 is the film's 95 % bound, two standard deviations out. */
const LEAN_SIGMA = 2;
/** No case leans further: where the film is nearly all that is unsure, its own 99 % and the other spreads are enough. */
const MOST_LEAN = 1.2;

/**
 * The slow, the middle and the fast case of a bag. The spreads do not all fall to one side at once: the slow case is
 * the likeliest combination that is late by so many standard deviations of the whole, each spread taking a part in
 * proportion to what it does to the time (first-order reliability method). The probe's error is not in the cases:
 * it is added to their cores afterwards, because it can be of either sign in each.
 * Throws a RangeError for a composition or thickness that cannot be.
 */
export function envelopeMembers(
  asked: EnvelopeAsked,
): readonly [EnvelopeMember, EnvelopeMember, EnvelopeMember] {
  const { thicknessMm, beta, startC } = asked;
  const food = propertiesOf(asked);
  const film = asked.film ?? filmFor({ circulation: 'pumped', waterC: asked.waterC ?? 65 });
  const pulls = pullsOf(asked, food, film);
  const length = Math.hypot(pulls.thickness, pulls.diffusivity, pulls.film, pulls.start);
  const member = (id: EnvelopeMember['id'], side: -1 | 0 | 1): EnvelopeMember => {
    // Standard deviations each spread moves by; side 1 is the fast case.
    const z = (pull: number) => (side * RELIABILITY * pull) / length;
    const ease = Math.exp(z(pulls.diffusivity) * pulls.sigmaDiffusivity);
    return {
      id,
      body: {
        thicknessM: (thicknessMm / 1000) * Math.exp(-z(pulls.thickness) * SPREADS.thickness),
        beta,
        diffusivity: food.diffusivity * ease,
        conductivity: food.conductivity * ease,
      },
      startC: Math.max(-1, startC + z(pulls.start) * SPREADS.startC),
      filmLean: Math.max(-MOST_LEAN, Math.min(MOST_LEAN, z(pulls.film) / LEAN_SIGMA)),
      dFactor: Math.exp(-side * RELIABILITY * SPREADS.lnD),
    };
  };
  return [member('slow', -1), member('middle', 0), member('fast', 1)];
}

/** Meat of which nothing is known (ASHRAE Refrigeration ch. 9 table 7: 1.18 to 1.33e-7 m2/s for beef and ham). */
const USUAL_MEAT = { diffusivity: 1.3e-7, conductivity: 0.48 } as const;

function propertiesOf({ cut, diffusivity, conductivity }: EnvelopeAsked) {
  const usual = cut ? thermalProperties(cut.composition, PROPERTIES_AT_C) : USUAL_MEAT;
  return {
    diffusivity: diffusivity ?? usual.diffusivity,
    conductivity: conductivity ?? usual.conductivity,
  };
}

interface Pulls {
  readonly thickness: number;
  readonly diffusivity: number;
  readonly film: number;
  readonly start: number;
  readonly sigmaDiffusivity: number;
}

/**
 * What one standard deviation of each spread does to ln(come-up time), from the one-term solution
 * t = R2/alpha (4/pi2 + 1/((beta + 1) Bi)) ln(...): the film has a share of the resistance, the rest is the meat's.
 */
function pullsOf(
  asked: EnvelopeAsked,
  food: { diffusivity: number; conductivity: number },
  film: Film,
): Pulls {
  const radiusM = asked.thicknessMm / 2000;
  const inFilm = food.conductivity / (film.middle * radiusM * (asked.beta + 1));
  const share = inFilm / (inFilm + 4 / Math.PI ** 2);
  const fat = (asked.cut?.fatSpread ?? 0) / 2;
  const own = asked.cut?.boneIn ? SPREADS.diffusivityBoneIn : SPREADS.diffusivity;
  // A hundredth more fat lowers the diffusivity by about 0.6 % (Choi & Okos, 5 to 25 % fat).
  const sigmaDiffusivity = Math.hypot(own, 0.6 * fat);
  return {
    thickness: (2 - share) * SPREADS.thickness,
    diffusivity: (1 - share) * sigmaDiffusivity,
    film: (share * Math.log(film.high / film.low)) / (2 * LEAN_SIGMA),
    start: SPREADS.startC / 60,
    sigmaDiffusivity,
  };
}

/** The film coefficient a case sees where `film` is what stands now, W/(m2 K); for a bag not under water the low case gets none. */
export function memberFilm(member: EnvelopeMember, film: Film): number {
  const lean = member.filmLean;
  if (film.noCredit) return lean < 0 ? film.low : lean > 0 ? film.high : film.middle;
  const bound = lean < 0 ? film.low : film.high;
  return film.middle * (bound / film.middle) ** Math.abs(lean);
}

/** A film that somebody gave as one number, W/(m2 K), with the spread of a circulated bath (200 to 500 round 300; from memory). */
export function filmAround(value: number): Film {
  return { low: (value * 2) / 3, middle: value, high: (value * 5) / 3, noCredit: false };
}

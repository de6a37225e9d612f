/** Salt by the spoon: kinds differ by more than a factor of two, so weighing goes first. */
export interface SaltKind {
  readonly id: string;
  readonly name: string;
  /** One level teaspoon (US, 4.93 mL), g; within about 10 %. */
  readonly gramsPerTsp: number;
  readonly source: string;
}

/** How far a level teaspoon of a kind may be off, as a share. */
export const SPOON_SPREAD = 0.1;
const PAGES = 'conversion pages, averaged, +-10 %';

/** The kinds of salt known here, densest first. */
export const SALT_KINDS: readonly SaltKind[] = [
  { id: 'table', name: 'table salt, fine grained', gramsPerTsp: 6, source: PAGES },
  { id: 'fine-sea', name: 'fine sea salt', gramsPerTsp: 5.3, source: PAGES },
  { id: 'coarse-sea', name: 'coarse sea salt', gramsPerTsp: 5, source: PAGES },
  { id: 'dense-flake', name: 'dense rolled flakes', gramsPerTsp: 4.8, source: PAGES },
  { id: 'light-flake', name: 'light hollow flakes', gramsPerTsp: 2.8, source: PAGES },
  { id: 'large-flake', name: 'large finishing flakes', gramsPerTsp: 2.2, source: 'from memory' },
];

/** The kind of that id. @throws RangeError that lists the kinds */
export function saltKind(id: string): SaltKind {
  const found = SALT_KINDS.find((kind) => kind.id === id);
  if (found) return found;
  throw new RangeError(
    `salt "${id}" is not known; expected one of ${SALT_KINDS.map((k) => k.id).join(', ')}.`,
  );
}

/** A weight of salt in level teaspoons of one kind, and what the same spoons weigh of another. */
export interface SpoonMeasure {
  readonly kind: string;
  readonly teaspoonsCount: number;
  readonly lowG: number;
  readonly highG: number;
  /** For each other kind: salt that really goes in when it is taken by mistake. */
  readonly mistakes: readonly {
    readonly kind: string;
    readonly saltG: number;
    readonly errorPercent: number;
  }[];
  readonly words: string;
  readonly source: string;
}

/**
 * Level teaspoons for a weight of salt, with the error that a wrong kind makes.
 * @throws RangeError for an unknown kind or a weight that is not above zero
 */
export function spoonMeasure(saltG: number, kindId: string): SpoonMeasure {
  if (!(saltG > 0 && saltG < 1e5)) throw new RangeError(`${saltG} g of salt; expected above 0.`);
  const kind = saltKind(kindId);
  const spoons = saltG / kind.gramsPerTsp;
  const mistakes = SALT_KINDS.filter((other) => other.id !== kind.id).map((other) => ({
    kind: other.id,
    saltG: spoons * other.gramsPerTsp,
    errorPercent: 100 * (other.gramsPerTsp / kind.gramsPerTsp - 1),
  }));
  const worst = mistakes.reduce((a, b) => (Math.abs(b.errorPercent) > Math.abs(a.errorPercent) ? b : a));
  return {
    kind: kind.id,
    teaspoonsCount: spoons,
    lowG: saltG * (1 - SPOON_SPREAD),
    highG: saltG * (1 + SPOON_SPREAD),
    mistakes,
    words: `${spoons.toFixed(1)} level teaspoons of ${kind.name}. The same spoons of ${saltKind(worst.kind).name} are ${worst.saltG.toFixed(0)} g (${worst.errorPercent > 0 ? '+' : ''}${worst.errorPercent.toFixed(0)} %). Weigh it if you can.`,
    source: kind.source,
  };
}

/** One's own spoon and salt, from weighing level spoons. */
export interface SpoonCalibration {
  readonly gramsPerTsp: number;
  /** The kind it comes nearest to, and how far from it. */
  readonly nearestKind: string;
  readonly fromNearestPercent: number;
  readonly words: string;
}

/**
 * "Weigh five level spoons": what one of them holds, and which kind that is like.
 * @throws RangeError for a weight or a number of spoons that is not above zero
 */
export function calibrateSpoon(weighedG: number, spoonsCount = 5): SpoonCalibration {
  if (!(weighedG > 0 && spoonsCount >= 1)) {
    throw new RangeError(
      `${spoonsCount} spoons of ${weighedG} g: expected at least one spoon and a weight above 0. Level each with a knife.`,
    );
  }
  const gramsPerTsp = weighedG / spoonsCount;
  if (!(gramsPerTsp >= 1 && gramsPerTsp <= 12)) {
    throw new RangeError(
      `a level teaspoon of ${gramsPerTsp.toFixed(1)} g is no salt by the teaspoon (2 to 7 g). A tablespoon is three; check spoon and scale.`,
    );
  }
  const off = (kind: SaltKind) => Math.abs(Math.log(gramsPerTsp / kind.gramsPerTsp));
  const nearest = SALT_KINDS.reduce((a, b) => (off(b) < off(a) ? b : a));
  const fromNearestPercent = 100 * (gramsPerTsp / nearest.gramsPerTsp - 1);
  const other = Math.abs(fromNearestPercent) > 100 * SPOON_SPREAD ? ', but unlike it: trust the scale' : '';
  return {
    gramsPerTsp,
    nearestKind: nearest.id,
    fromNearestPercent,
    words: `Your level spoon holds ${gramsPerTsp.toFixed(1)} g: like ${nearest.name}${other}.`,
  };
}

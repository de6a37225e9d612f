import { type ColdSpotRecord, type CoreFlag, type CreditedCore, heardInMeat } from '../food/measured.ts';

/** How far readings from the piece hold the credit of heat under the model's coldest case. Plain data. */
export interface CoreHold {
  /** So much under the model's coldest case, the reading's error taken off, K. */
  readonly lowerK: number;
  /** Nothing above this is credited, C: the reading proved the piece slower than described. */
  readonly capC: number | null;
}

/** What became of a probe's reading. */
export interface MeasuredCore {
  readonly celsius: number | null;
  readonly creditedC: number;
  readonly fromProbe: boolean;
  readonly flags: readonly CoreFlag[];
}

/**
 * What a wired probe in the piece has shown under the model's coldest case, kept for when it falls silent or is pulled
 * out: neither makes the piece any quicker. Plain data.
 */
export interface ProbeHold extends CoreHold {
  /** What it last showed there, degrees C, and when by the wall clock, ms. */
  readonly celsius: number;
  readonly atMs: number;
  /** The caller's clock then, and when it began to show less than the model, s. */
  readonly atS: number;
  readonly sinceS: number;
  /** It has disproved the model for good: what was earned before was taken back. */
  readonly proved: boolean;
  /** It disproves now what the credit went by: since when, s, and what that was. Null where it does not. */
  readonly disproof: (CoreHold & { readonly sinceS: number }) | null;
  /** The record has been told that the credit is held by it alone. */
  readonly told: boolean;
}

/** A reading with its largest error either way, K. */
interface Read {
  readonly celsius: number;
  readonly errorC: number;
}

/** When a reading was judged, and by which coldest case. */
export interface JudgedAt {
  /** The caller's clock, s. */
  readonly clockS: number;
  readonly wallMs: number;
  /** The model's coldest case then, C. */
  readonly lowC: number;
  readonly errorC: number;
  readonly coldSpot: ColdSpotRecord | null;
  /** What a reading by hand holds the credit to beside it; null where none does. */
  readonly byHand: CoreHold | null;
}

/** A probe needs so long to take the temperature of the meat: a shorter fall under the model is forgiven, s. */
const SETTLING_S = 60;
/** A wired probe disproves the model when it has shown so for so long, s: nobody held it, and it may have just been moved. */
const STANDS_AFTER_S = 300;
/** Noise of probe and model between two readings, K. */
const NOISE_K = 0.3;
/** No piece catches up with the model faster than by this share of what it lags, in 1/s; own choice, well above thin fillets. */
const CATCH_UP_PER_S = 1 / 300;
/** What a silent probe may have missed of catching up is not believed beyond this, s. */
const BELIEVED_S = 60;

/** What one reading, as judged by `creditedCore` against a coldest case of `leastC`, holds the credit to from now on. */
export function holdBy(found: Pick<CreditedCore, 'celsius' | 'from' | 'flags'>, leastC: number): CoreHold {
  return {
    lowerK: found.from === 'probe' ? Math.max(0, leastC - found.celsius) : 0,
    capC: found.flags.includes('below-worst-case') ? found.celsius : null,
  };
}

/** The core to credit heat by under a hold, C, given the coldest the model allows. */
export function heldCore(hold: CoreHold, leastC: number): number {
  return Math.min(leastC - hold.lowerK, hold.capC ?? Number.POSITIVE_INFINITY);
}

/**
 * The one rule, for readings by hand and by wire, of when a reading takes back what was earned before it: with its whole
 * error it is colder than the core that the credit went by, which is the model's coldest case or, where earlier readings
 * had disproved that already, what they hold it to. Such a reading casts its doubt on the time before it as well.
 */
export function takesBack(
  { celsius, errorC }: Read,
  leastC: number,
  disproved: readonly (CoreHold | null)[],
): boolean {
  let wentBy = leastC;
  for (const hold of disproved) {
    if (hold !== null) wentBy = Math.min(wentBy, heldCore(hold, leastC) - NOISE_K);
  }
  return celsius + errorC < wentBy;
}

/**
 * The hold after a further reading. While the probe is heard its lag is what it shows. A lag that goes faster than meat
 * can warm is a probe that left the meat: the hold stays until somebody searches the cold spot anew. Silence changes
 * nothing, however short or long.
 */
export function followProbe(
  hold: ProbeHold | null,
  now: MeasuredCore | null,
  at: JudgedAt,
): ProbeHold | null {
  if (now === null || now.celsius === null) return hold;
  const shown = holdBy({ ...now, celsius: now.creditedC, from: now.fromProbe ? 'probe' : 'model' }, at.lowC);
  const disproof = disproofBy(hold, { celsius: now.celsius, errorC: at.errorC }, at);
  if (hold !== null && !mayBe(hold, shown.lowerK, at) && !searchedSince(hold, now, at.coldSpot)) {
    return { ...hold, disproof: heardInMeat(now.flags) ? disproof : hold.disproof };
  }
  if (shown.lowerK === 0) return null;
  return {
    ...shown,
    celsius: now.celsius,
    atMs: at.wallMs,
    atS: at.clockS,
    sinceS: hold?.sinceS ?? at.clockS,
    proved: hold?.proved ?? false,
    disproof,
    told: hold?.told ?? false,
  };
}

function disproofBy(hold: ProbeHold | null, read: Read, { lowC, byHand, clockS }: JudgedAt) {
  const known = hold?.disproof ?? null;
  const wentBy = known ?? (hold?.proved ? hold : null);
  if (!takesBack(read, lowC, [wentBy, byHand])) return null;
  return known ?? { sinceS: clockS, lowerK: wentBy?.lowerK ?? 0, capC: wentBy?.capC ?? null };
}

/** A disproof that has stood for long enough is settled: the hold as it is kept then, and that what was earned is taken back. */
export function settleDisproof(
  hold: ProbeHold | null,
  clockS: number,
): { readonly hold: ProbeHold | null; readonly takenBack: boolean } {
  if (!hold?.disproof || clockS - hold.disproof.sinceS < STANDS_AFTER_S) return { hold, takenBack: false };
  return { hold: { ...hold, proved: true, disproof: null }, takenBack: true };
}

/** True where the same piece may show this lag now. */
function mayBe(hold: ProbeHold, lowerK: number, { clockS }: JudgedAt): boolean {
  if (hold.atS - hold.sinceS < SETTLING_S && clockS - hold.atS < SETTLING_S) return true;
  const seconds = Math.min(BELIEVED_S, Math.max(0, clockS - hold.atS));
  return lowerK >= hold.lowerK * (1 - seconds * CATCH_UP_PER_S) - NOISE_K;
}

function searchedSince(hold: ProbeHold, now: MeasuredCore, coldSpot: ColdSpotRecord | null): boolean {
  return coldSpot !== null && coldSpot.atS > hold.atS && heardInMeat(now.flags);
}

/** The hold as it bears beside a reading: none where the very reading stands and credits lower by itself. */
export function boundBy(hold: ProbeHold | null, now: MeasuredCore): ProbeHold | null {
  return hold !== null && now.fromProbe && now.celsius === hold.celsius ? null : hold;
}

/** True where the hold is what stands between the model and the credit: the probe does not show it now. */
export function holdsAlone(hold: ProbeHold | null, now: MeasuredCore | null): hold is ProbeHold {
  if (hold === null || (hold.lowerK < NOISE_K && hold.capC === null)) return false;
  return now === null || now.celsius === null || now.celsius !== hold.celsius;
}

/** The hold of a piece described anew: it lies no higher under the new model than under the old one, C. */
export function describedHold(hold: ProbeHold | null, oldLowC: number, newLowC: number): ProbeHold | null {
  return hold && { ...hold, lowerK: hold.lowerK + Math.max(0, newLowC - oldLowC) };
}

import type { ColdSpotRecord } from '../../../shared/food/measured.ts';
import type { MeasuredCore } from './bag.ts';

/**
 * What a wired probe in the piece has shown under the model's coldest case, kept for when it falls silent or is pulled
 * out: neither makes the piece any quicker. Plain data.
 */
export interface WiredHold {
  /** What it last showed there, degrees C, and when. */
  readonly celsius: number;
  readonly atMs: number;
  /** The tick's clock then, and when it began to show less than the model, s. */
  readonly atS: number;
  readonly sinceS: number;
  /** So much under the model's coldest case, its error taken off, K. */
  readonly lowerK: number;
  /** Nothing above this is credited: the reading proved the piece slower than described. */
  readonly capC: number | null;
  /** The record has been told that the credit is held by it. */
  readonly told: boolean;
}

/** When a reading was judged, and by which coldest case. */
export interface JudgedAt {
  readonly clockS: number;
  readonly wallMs: number;
  readonly lowC: number;
}

/** A probe needs so long to take the temperature of the meat: a shorter fall under the model is forgiven, s. */
const SETTLING_S = 60;
/** Noise of probe and model between two readings, K. */
const NOISE_K = 0.3;
/** No piece catches up with the model faster than by this share of what it lags, in 1/s; own choice, well above thin fillets. */
const CATCH_UP_PER_S = 1 / 300;
/** What a silent probe may have missed of catching up is not believed beyond this, s. */
const BELIEVED_S = 60;

/**
 * The hold after a further reading. While the probe is heard its lag is what it shows. A lag that goes faster than meat
 * can warm is a probe that left the meat: the hold stays until somebody searches the cold spot anew. Silence changes
 * nothing, however short or long.
 */
export function followWired(
  hold: WiredHold | null,
  now: MeasuredCore | null,
  at: JudgedAt,
  coldSpot: ColdSpotRecord | null,
): WiredHold | null {
  if (now === null || now.celsius === null) return hold;
  const lowerK = now.fromProbe ? Math.max(0, at.lowC - now.creditedC) : 0;
  if (hold !== null && !mayBe(hold, lowerK, at) && !searchedSince(hold, now, coldSpot)) return hold;
  if (lowerK === 0) return null;
  return {
    celsius: now.celsius,
    atMs: at.wallMs,
    atS: at.clockS,
    sinceS: hold?.sinceS ?? at.clockS,
    lowerK,
    capC: now.flags.includes('below-worst-case') ? now.creditedC : null,
    told: hold?.told ?? false,
  };
}

/** True where the same piece may show this lag now. */
function mayBe(hold: WiredHold, lowerK: number, { clockS }: JudgedAt): boolean {
  if (hold.atS - hold.sinceS < SETTLING_S && clockS - hold.atS < SETTLING_S) return true;
  const seconds = Math.min(BELIEVED_S, Math.max(0, clockS - hold.atS));
  return lowerK >= hold.lowerK * (1 - seconds * CATCH_UP_PER_S) - NOISE_K;
}

function searchedSince(hold: WiredHold, now: MeasuredCore, coldSpot: ColdSpotRecord | null): boolean {
  return coldSpot !== null && coldSpot.atS > hold.atS && !isDoubtful(now.flags);
}

/** True where a reading is one that meat cannot have. */
export function isDoubtful(flags: MeasuredCore['flags']): boolean {
  return flags.includes('hotter-than-meat-can-be') || flags.includes('colder-than-meat-can-be');
}

/** The core to credit heat by under a hold, C, given the coldest the model allows. */
export function heldCore(hold: WiredHold, leastC: number): number {
  return Math.min(leastC - hold.lowerK, hold.capC ?? Number.POSITIVE_INFINITY);
}

/** The hold as it bears beside a reading: none where the very reading stands and credits lower by itself. */
export function boundBy(hold: WiredHold | null, now: MeasuredCore): WiredHold | null {
  return hold !== null && now.fromProbe && now.celsius === hold.celsius ? null : hold;
}

/** True where the hold is what stands between the model and the credit: the probe does not show it now. */
export function holdsAlone(hold: WiredHold | null, now: MeasuredCore | null): hold is WiredHold {
  if (hold === null || (hold.lowerK < NOISE_K && hold.capC === null)) return false;
  return now === null || now.celsius === null || now.celsius !== hold.celsius;
}

/** The hold of a bag described anew: it lies no higher under the new model than under the old one. */
export function describedHold(hold: WiredHold | null, oldLowC: number, newLowC: number): WiredHold | null {
  return hold && { ...hold, lowerK: hold.lowerK + Math.max(0, newLowC - oldLowC) };
}

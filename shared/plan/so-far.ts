/** A bag that is in the bath, carried through the water that was measured. */
import { filmFor } from '../food/film.ts';
import { addTender, startTender, type TenderState } from '../tender/kinetics.ts';
import type { Moment } from './bath-run.ts';
import { type Food, type Piece, startPiece, stepPiece } from './food.ts';
import type { Job } from './types.ts';
import { GAP_MS, type WaterRow } from './water-log.ts';

/** A bag up to now. */
export interface SoFar {
  readonly piece: Piece;
  readonly tender: TenderState;
  readonly moments: readonly Moment[];
  /** Some of the time was not measured. */
  readonly gaps: boolean;
}

/**
 * Carries a piece from when it went in to `nowMs` through thinned rows. Before the first row and after the last the
 * water is taken as the row's; longer than a quarter of an hour counts as a gap and earns no safety.
 * @param zeroMs wall time of the run's second zero
 */
export function throughLog(
  job: Job,
  food: Food,
  rows: readonly WaterRow[],
  inMs: number,
  nowMs: number,
  zeroMs: number,
): SoFar {
  const piece = startPiece(food, job.profileId, true);
  const at = (ms: number) => (ms - zeroMs) / 1000;
  let tender = startTender();
  let gaps = false;
  const moments: Moment[] = [momentOf(piece, tender, at(inMs))];
  let before = waterAt(rows, inMs);
  let beforeMs = inMs;
  const later = rows.filter((row) => row.atMs > inMs && row.atMs < nowMs);
  for (const row of [...later, { atMs: nowMs, celsius: waterAt(rows, nowMs) }]) {
    const gap = row.atMs - beforeMs > GAP_MS;
    gaps ||= gap;
    for (const part of parts(before, row.celsius, beforeMs, row.atMs)) {
      const film = filmFor({ circulation: job.rig.circulation, waterC: part.fromC });
      const core = piece.profile[0]!;
      stepPiece(food, piece, { ...part, atS: at(part.toMs), film, gap });
      tender = addTender(tender, core, piece.profile[0]!, part.seconds);
      moments.push(momentOf(piece, tender, at(part.toMs)));
    }
    before = row.celsius;
    beforeMs = row.atMs;
  }
  return { piece, tender, moments, gaps };
}

/** A stretch in parts of at most five minutes, so that a core that bends is followed. */
function parts(fromC: number, toC: number, fromMs: number, toMs: number) {
  const count = Math.max(1, Math.min(200, Math.ceil((toMs - fromMs) / 300_000)));
  const at = (i: number) => fromC + ((toC - fromC) * i) / count;
  const ms = (i: number) => fromMs + ((toMs - fromMs) * i) / count;
  return Array.from({ length: count }, (_, i) => ({
    fromC: at(i),
    toC: at(i + 1),
    seconds: (ms(i + 1) - ms(i)) / 1000,
    toMs: ms(i + 1),
  })).filter(({ seconds }) => seconds > 0);
}

function momentOf(piece: Piece, tender: TenderState, atS: number): Moment {
  const coreC = piece.profile[0]!;
  const slowC = piece.track ? piece.track.profiles[0]![0]! : coreC;
  const fastC = piece.track ? piece.track.profiles[2]![0]! : coreC;
  return { atS, coreC, slowC, fastC, tender };
}

/** Water at an instant: straight between rows, the nearest row outside them. */
export function waterAt(rows: readonly WaterRow[], ms: number): number {
  const after = rows.findIndex((row) => row.atMs >= ms);
  if (after === -1) return rows.at(-1)!.celsius;
  const b = rows[after]!;
  const a = rows[after - 1];
  if (!a) return b.celsius;
  return a.celsius + ((b.celsius - a.celsius) * (ms - a.atMs)) / (b.atMs - a.atMs);
}

import type { History } from './history.ts';
import type { Rows } from './rows.ts';

type Values = (number | null)[];

/** What a chart draws: equal-length columns; a row of nulls stands where data is missing. Degrees C, seconds. */
export interface Picture {
  readonly timeS: number[];
  readonly bathC: Values;
  readonly bathMinC: Values;
  readonly bathMaxC: Values;
  readonly setpointC: Values;
  readonly coreC: Values;
  readonly coldC: Values;
  readonly hotC: Values;
  readonly duty: Values;
  /** Number of breaks in the lines. */
  gaps: number;
}

export interface PictureQuery {
  readonly fromMs: number;
  readonly toMs: number;
  readonly bagId: string | null;
}

/** Longest hole in raw samples that is still drawn through. */
const RAW_HOLE_MS = 3000;

/** Index of the finest level whose rows within a window of that length are few enough to draw every second. */
export function levelFor(windowMs: number): number {
  if (windowMs <= 1_800_000) return 0;
  return windowMs <= 8 * 3_600_000 ? 1 : 2;
}

interface Piece {
  readonly rows: Rows;
  readonly index: number;
}

/**
 * The window at the level that suits its width. Where that level has a hole, coarser rows fill it, then
 * finer ones; what nobody has stays a gap.
 */
export function pictureOf(history: History, query: PictureQuery): Picture {
  const level = levelFor(query.toMs - query.fromMs);
  const { levels } = history;
  const order = [...levels.slice(level), ...levels.slice(0, level).reverse()];
  const pieces: Piece[] = [];
  fill(order, 0, query, { low: 0, high: Number.POSITIVE_INFINITY }, pieces);
  return draw(pieces, query.bagId);
}

function fill(
  order: readonly Rows[],
  depth: number,
  query: PictureQuery,
  span: { low: number; high: number },
  out: Piece[],
): void {
  const rows = order[depth];
  if (!rows) return;
  let through = span.low;
  const begin = Math.max(rows.indexAt(query.fromMs - rows.widthMs), rows.indexOf(span.low + 1));
  for (let i = begin; i < rows.length; i++) {
    if (rows.startMs[i]! > query.toMs || rows.first[i]! >= span.high) break;
    const first = rows.first[i]!;
    if (first > through + 1) fill(order, depth + 1, query, { low: through, high: first }, out);
    out.push({ rows, index: i });
    through = Math.max(through, rows.last[i]!);
  }
  if (span.high > through + 1) fill(order, depth + 1, query, { low: through, high: span.high }, out);
}

function draw(pieces: readonly Piece[], bagId: string | null): Picture {
  const picture: Picture = {
    timeS: [],
    bathC: [],
    bathMinC: [],
    bathMaxC: [],
    setpointC: [],
    coreC: [],
    coldC: [],
    hotC: [],
    duty: [],
    gaps: 0,
  };
  let previous: Piece | null = null;
  for (const piece of pieces) {
    const timeMs = middleMs(piece);
    const last = picture.timeS.at(-1);
    // Rows that overlap in part may share a moment; a chart needs rising times.
    if (last !== undefined && timeMs / 1000 <= last) continue;
    if (previous && isHole(previous, piece)) {
      picture.gaps++;
      push(picture, (last! + timeMs / 1000) / 2, null, bagId);
    }
    push(picture, timeMs / 1000, piece, bagId);
    previous = piece;
  }
  return picture;
}

/** True where the line between two neighbours must break: samples or whole buckets are missing, or time passed unseen. */
function isHole(a: Piece, b: Piece): boolean {
  const missing = b.rows.first[b.index]! - a.rows.last[a.index]! - 1;
  if (missing * 1000 >= RAW_HOLE_MS) return true;
  const unseenMs = b.rows.startMs[b.index]! - a.rows.startMs[a.index]! - a.rows.widthMs;
  return unseenMs > Math.max(RAW_HOLE_MS, a.rows.widthMs - 1000, b.rows.widthMs - 1000);
}

function middleMs({ rows, index }: Piece): number {
  const start = rows.startMs[index]!;
  return rows.widthMs === 1000 ? start : start + rows.widthMs / 2;
}

function push(picture: Picture, timeS: number, piece: Piece | null, bagId: string | null): void {
  const bag = bagId === null ? undefined : piece?.rows.bags.get(bagId);
  const value = (column: Float32Array | undefined): number | null => {
    const found = piece ? column?.[piece.index] : undefined;
    return found === undefined || Number.isNaN(found) ? null : found;
  };
  picture.timeS.push(timeS);
  picture.bathC.push(value(piece?.rows.meanC));
  picture.bathMinC.push(value(piece?.rows.minC));
  picture.bathMaxC.push(value(piece?.rows.maxC));
  picture.setpointC.push(value(piece?.rows.setpointC));
  picture.duty.push(value(piece?.rows.duty));
  picture.coreC.push(value(bag?.coreC));
  picture.coldC.push(value(bag?.coldC));
  picture.hotC.push(value(bag?.hotC));
}

import { counted, Refusal, someOf } from './refusal.ts';
import type { Times } from './times.ts';

/** A usable row: when, how hot, and where it stands in the file. */
export interface Row {
  readonly seconds: number;
  readonly bathC: number;
  /** NaN where there is no reading of the core. */
  readonly coreC: number;
  readonly line: number;
}

const HALF_DAY_S = 43_200;
const DAY_S = 86_400;
/** More falls than this share of the rows, and the file is in no order. */
const MOST_FALLS = 0.05;
/** Fewer rows a day, and what looks like midnight is disorder. */
const FEWEST_A_DAY = 10;
/** Two readings of one moment that lie no further apart are the same reading, K. */
const SAME_C = 1;
/** Contradictions at one moment: more than these, and than this share of the rows, are two logs in one. */
const MOST_CONTRADICTIONS = 3;
const CONTRADICTION_SHARE = 0.01;
/** Fewer rows on end are no log, and fewer strange rows no proof of two. */
const RESTART_ROWS = 10;

/** Rows in order of time, one for each moment, with what was done to get there. */
export interface Ordered {
  readonly rows: readonly Row[];
  readonly repairs: readonly string[];
  readonly cautions: readonly string[];
}

/**
 * Puts rows in order: unwraps a clock that passed midnight or was set back an hour, sorts, and keeps one row a moment.
 * @throws Refusal where the times start again, or one moment has several temperatures, for then there are two logs.
 */
export function ordered(rows: readonly Row[], times: Times): Ordered {
  const repairs: string[] = [];
  const cautions: string[] = [];
  const forward = times.kind === 'clock' ? pastMidnight(rows, repairs) : rows;
  const told = times.kind === 'instant' && !times.zoned ? setBack(forward, repairs, cautions) : forward;
  requireOneLog(told);
  return { rows: oneEach(sorted(told, repairs), repairs), repairs, cautions };
}

/**
 * Times of day that go on after midnight: each fall of more than half a day is a new day. Times beyond 24 h are elapsed,
 * not of the day; and rows in no order at all tell nothing of midnight.
 */
function pastMidnight(rows: readonly Row[], repairs: string[]): readonly Row[] {
  if (rows.some(({ seconds }) => seconds >= DAY_S)) return rows;
  const newestFirst = fallsOf(rows) > rows.length / 2;
  const inTurn = newestFirst ? [...rows].reverse() : rows;
  let days = 0;
  const passed: number[] = [];
  const forward = inTurn.map((row, i) => {
    if (i > 0 && inTurn[i - 1]!.seconds - row.seconds > HALF_DAY_S) {
      days++;
      passed.push(row.line);
    }
    return days === 0 ? row : { ...row, seconds: row.seconds + days * DAY_S };
  });
  if (days === 0 || days * FEWEST_A_DAY > rows.length || fallsOf(forward) > MOST_FALLS * rows.length)
    return rows;
  const order = newestFirst ? ', the newest row standing first' : '';
  repairs.push(`The clock passed midnight at line ${someOf(passed)}: counted on as the next day${order}.`);
  return forward;
}

/** How often a row is earlier than the one before it. */
function fallsOf(rows: readonly Row[]): number {
  let falls = 0;
  for (let i = 1; i < rows.length; i++) if (rows[i]!.seconds < rows[i - 1]!.seconds) falls++;
  return falls;
}

/** Times without a zone, of which one stretch comes again an hour later: summer time ended. */
function setBack(rows: readonly Row[], repairs: string[], cautions: string[]): readonly Row[] {
  const falls = rows.flatMap((row, i) => (i > 0 && row.seconds < rows[i - 1]!.seconds ? [i] : []));
  const [at] = falls;
  if (at === undefined || falls.length > 1 || at < 2 || at > rows.length - 2) return rows;
  const spacing = rows[at - 1]!.seconds - rows[at - 2]!.seconds;
  const back = rows[at - 1]!.seconds - rows[at]!.seconds + spacing;
  if (Math.abs(back - 3600) > Math.max(2, spacing / 2) || spacing <= 0 || spacing > 1200) return rows;
  repairs.push(
    `The clock was set back an hour at line ${rows[at]!.line}: the rows after it were put an hour later.`,
  );
  cautions.push(
    'The log names no time zone. Where the clock changed, an hour may be missing or double; log in UTC.',
  );
  return rows.map((row, i) => (i < at ? row : { ...row, seconds: row.seconds + 3600 }));
}

/**
 * Two logs in one file, such as of a counter that began again at 0: long runs of rows that, put in order of time, lie
 * between each other's rows at other temperatures. A stretch that only stands in the wrong place is none.
 */
function requireOneLog(rows: readonly Row[]): void {
  const marked = longRuns(rows);
  if (marked === null) return;
  marked.sort((a, b) => a.row.seconds - b.row.seconds);
  const strange = marked.filter(({ row, run }, i) => {
    const before = marked[i - 1];
    const after = marked[i + 1];
    if (!before || !after || before.run === run || after.run === run) return false;
    return Math.abs(row.bathC - (before.row.bathC + after.row.bathC) / 2) > SAME_C;
  });
  if (strange.length < RESTART_ROWS) return;
  const later = Math.max(...strange.map(({ run }) => run));
  const first = strange.find(({ run }) => run === later)!.row.line;
  throw new Refusal(
    `the times start again near line ${first}: ${counted(strange.length, 'row')} lie between rows told elsewhere in the file, at other temperatures. Two logs in one file? Split it, and assess the one of this cook.`,
  );
}

/** Rows of the runs that are long enough to be logs, each with its run's number; null where there are not two such runs. */
function longRuns(rows: readonly Row[]): { row: Row; run: number }[] | null {
  const marked: { row: Row; run: number }[] = [];
  let runs = 0;
  let start = 0;
  for (let i = 1; i <= rows.length; i++) {
    if (i < rows.length && rows[i]!.seconds >= rows[i - 1]!.seconds) continue;
    if (i - start >= RESTART_ROWS) {
      runs++;
      for (let k = start; k < i; k++) marked.push({ row: rows[k]!, run: runs });
    }
    start = i;
  }
  return runs > 1 ? marked : null;
}

function sorted(rows: readonly Row[], repairs: string[]): readonly Row[] {
  let latest = Number.NEGATIVE_INFINITY;
  const late: number[] = [];
  for (const { seconds, line } of rows) {
    if (seconds < latest) late.push(line);
    else latest = seconds;
  }
  if (late.length === 0) return rows;
  repairs.push(
    `Sorted the rows by time: ${counted(late.length, 'row')} out of order (line ${someOf(late)}).`,
  );
  return [...rows].sort((a, b) => a.seconds - b.seconds);
}

/** Of several rows at one moment the colder readings are kept, for nobody knows which is right. */
function oneEach(rows: readonly Row[], repairs: string[]): readonly Row[] {
  const kept: Row[] = [];
  const dropped: number[] = [];
  const contradicted: number[] = [];
  for (const row of rows) {
    const last = kept.at(-1);
    if (!last || row.seconds > last.seconds) {
      kept.push(row);
      continue;
    }
    dropped.push(row.line);
    if (Math.abs(row.bathC - last.bathC) > SAME_C) contradicted.push(row.line);
    const coreC = Number.isNaN(last.coreC)
      ? row.coreC
      : Number.isNaN(row.coreC)
        ? last.coreC
        : Math.min(last.coreC, row.coreC);
    kept[kept.length - 1] = { ...last, bathC: Math.min(last.bathC, row.bathC), coreC };
  }
  if (contradicted.length > Math.max(MOST_CONTRADICTIONS, CONTRADICTION_SHARE * rows.length)) {
    throw new Refusal(
      `${counted(contradicted.length, 'row')} have the time of another row but another temperature (line ${someOf(contradicted)}). Two sensors or two logs in one file? Keep one, or give times to the second.`,
    );
  }
  if (dropped.length > 0) {
    const colder = contradicted.length > 0 ? '; where they differed the colder reading was kept' : '';
    repairs.push(
      `Dropped ${counted(dropped.length, 'duplicate')} of a moment (line ${someOf(dropped)})${colder}.`,
    );
  }
  return kept;
}

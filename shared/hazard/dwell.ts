import { ROW_TOLERANCE_C } from './lethality-curve.ts';
import type { StandardRow, TableStandard } from './standards/types.ts';

/**
 * Holding time as a table words it: the core at or above a row, without a break, for that row's time.
 * The words are read strictly: falling below a row starts its time anew.
 * Plain data; times in seconds on the caller's clock.
 */
export interface DwellState {
  /** When the core last rose through each row it is now at or above, lowest row first. */
  readonly sinceS: readonly number[];
  /** The earliest time at which a row now held will have been held long enough; null where none is held. */
  readonly dueS: number | null;
  readonly dueRow: number | null;
  /** When the words of the table were first met, and by which row. Never taken back. */
  readonly metAtS: number | null;
  readonly metRow: number | null;
}

const NOTHING: DwellState = { sinceS: [], dueS: null, dueRow: null, metAtS: null, metRow: null };

/** No row reached yet. */
export function startDwell(): DwellState {
  return NOTHING;
}

/** Ends every running hold, as when the core was not known or the bag was out of the water. What was met stays met. */
export function breakDwell(state: DwellState): DwellState {
  return state.sinceS.length === 0 ? state : { ...NOTHING, metAtS: state.metAtS, metRow: state.metRow };
}

/** Carries the holds over a straight line of core temperature that ends at `atS`. */
export function addDwell(
  standard: TableStandard,
  state: DwellState,
  fromC: number,
  toC: number,
  seconds: number,
  atS: number,
): DwellState {
  const { rows } = standard;
  const before = state.sinceS.length;
  const atStart = levelAt(rows, fromC, before);
  const atEnd = levelAt(rows, toC, atStart);
  if (atStart === before && atEnd === before)
    return atS >= (state.dueS ?? Infinity) ? meet(state, atS) : state;
  const startS = atS - seconds;
  let sinceS = state.sinceS.slice(0, atStart);
  while (sinceS.length < atStart) sinceS.push(startS);
  const crossS = (row: StandardRow) => startS + (seconds * (row.fromC - fromC)) / (toC - fromC);
  let next = meet(withDue(rows, state, sinceS), startS);
  if (atEnd > atStart) {
    for (let i = atStart; i < atEnd; i++) sinceS.push(crossS(rows[i]!));
    next = meet(withDue(rows, next, sinceS), atS);
  } else if (atEnd < atStart) {
    // Each row left on the way down still counts up to the moment of leaving.
    for (let i = atStart - 1; i >= atEnd; i--) next = meetRow(rows, next, i, sinceS[i]!, crossS(rows[i]!));
    sinceS = sinceS.slice(0, atEnd);
    next = meet(withDue(rows, next, sinceS), atS);
  } else {
    next = meet(next, atS);
  }
  return next;
}

/** How many rows the temperature is at or above; `guess` is where to begin looking. */
function levelAt(rows: readonly StandardRow[], celsius: number, guess: number): number {
  let level = guess;
  while (level < rows.length && celsius >= rows[level]!.fromC - ROW_TOLERANCE_C) level++;
  while (level > 0 && !(celsius >= rows[level - 1]!.fromC - ROW_TOLERANCE_C)) level--;
  return level;
}

function withDue(rows: readonly StandardRow[], state: DwellState, since: readonly number[]): DwellState {
  let dueS: number | null = null;
  let dueRow: number | null = null;
  for (let i = 0; i < since.length; i++) {
    const due = since[i]! + rows[i]!.seconds;
    if (dueS === null || due < dueS) {
      dueS = due;
      dueRow = i;
    }
  }
  return { sinceS: since.slice(), dueS, dueRow, metAtS: state.metAtS, metRow: state.metRow };
}

function meet(state: DwellState, atS: number): DwellState {
  if (state.metAtS !== null || state.dueS === null || atS < state.dueS) return state;
  return { ...state, metAtS: state.dueS, metRow: state.dueRow };
}

function meetRow(
  rows: readonly StandardRow[],
  state: DwellState,
  row: number,
  sinceS: number,
  leftS: number,
): DwellState {
  const due = sinceS + rows[row]!.seconds;
  if (due > leftS || (state.metAtS !== null && state.metAtS <= due)) return state;
  return { ...state, metAtS: due, metRow: row };
}

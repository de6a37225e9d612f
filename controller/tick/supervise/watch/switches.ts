import type { Board } from '../../../../shared/wire/reading.ts';

/** How long the board has said other than it was told. Seconds; plain data. */
export interface SwitchWatch {
  /** A lease was given and the regulating switch is reported open. */
  readonly unhonouredS: number;
  /** No heat was leased and the regulating switch is reported closed. */
  readonly stuckS: number;
  /** ... and the guard too: the circuit is whole and nobody asked. */
  readonly stuckBothS: number;
  /** Nothing was leased: both switches were told to be open. */
  readonly openS: number;
  /** The level switch reports no water. */
  readonly dryS: number;
  /** The level switch does not report. */
  readonly levelSilentS: number;
}

export const CALM_SWITCHES: SwitchWatch = {
  unhonouredS: 0,
  stuckS: 0,
  stuckBothS: 0,
  openS: 0,
  dryS: 0,
  levelSilentS: 0,
};

const count = (before: number, holds: boolean, dtS: number) => (holds ? Math.min(1e6, before + dtS) : 0);

/** Takes in the board's word. `heat` and `guard` are what the last tick leased. */
export function watchSwitches(
  watch: SwitchWatch,
  board: Board,
  heat: boolean,
  guard: boolean,
  dtS: number,
): SwitchWatch {
  const up = board.link === 'up';
  const closed = up && board.regulatingClosed === true;
  return {
    unhonouredS: count(watch.unhonouredS, up && heat && board.regulatingClosed === false, dtS),
    stuckS: count(watch.stuckS, closed && !heat, dtS),
    stuckBothS: count(watch.stuckBothS, closed && !heat && board.guardClosed !== false && !guard, dtS),
    openS: count(watch.openS, !heat && !guard, dtS),
    dryS: count(watch.dryS, up && board.levelOk === false, dtS),
    levelSilentS: count(watch.levelSilentS, board.levelOk === null, dtS),
  };
}

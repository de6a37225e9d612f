import type { AlarmRecord } from '../alarm/machine.ts';
import { type Finding, quiet } from '../alarm/step.ts';
import type { Context } from './context.ts';

/** How the words of a cut that is latched on the board begin; the cut itself is the board's, and in no state of ours. */
const BOARD_CUT = 'The board has cut the heat by itself and holds it:';

/** Whether this alarm stands for a cut on the board, which only the board can clear. */
export const isBoardCut = ({ alarmId, active, detail }: AlarmRecord): boolean =>
  alarmId === 'heat-link-lost' && active && detail.startsWith(BOARD_CUT);

/** The board that holds the switches must answer, honour its leases and be free of a latched cut. */
export function checkHeatLink({ input }: Context): Finding {
  const { board } = input;
  if (board.link === 'up' && board.leaseRefused === null && board.latched === null)
    return quiet('heat-link-lost');
  const expected =
    board.link === 'up' && board.latched !== null
      ? 'expected no cut. It holds until its cause is gone and a person has said so'
      : 'expected it to answer at least every 2 s and to honour the lease';
  const seen =
    board.link === 'down'
      ? `The board does not answer${board.leaseRefused === null ? '' : ` (${board.leaseRefused})`}`
      : board.latched !== null
        ? `${BOARD_CUT} ${board.latched}`
        : `The board refuses heat: ${board.leaseRefused}`;
  return {
    alarmId: 'heat-link-lost',
    active: true,
    heatOff: board.link === 'down' || board.latched !== null,
    detail: `${seen}; ${expected}.`,
  };
}

import { type Finding, quiet } from '../alarm/step.ts';
import type { Context } from './context.ts';

/** The board that holds the switches must answer, honour its leases and be free of a latched cut. */
export function checkHeatLink({ input }: Context): Finding {
  const { board } = input;
  if (board.link === 'up' && board.leaseRefused === null && board.latched === null)
    return quiet('heat-link-lost');
  const seen =
    board.link === 'down'
      ? `The board does not answer${board.leaseRefused === null ? '' : ` (${board.leaseRefused})`}`
      : board.latched !== null
        ? `The board has cut the heat by itself and holds it: ${board.latched}`
        : `The board refuses heat: ${board.leaseRefused}`;
  return {
    alarmId: 'heat-link-lost',
    active: true,
    heatOff: board.link === 'down' || board.latched !== null,
    detail: `${seen}; expected it to answer at least every 2 s and to honour the lease.`,
  };
}

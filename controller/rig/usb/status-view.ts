import type { BoardStatus } from '../../../shared/wire/board.ts';
import type { StatusView } from './view.ts';

/** Of a status, what the controller acts on. The switches are as measured at their pins, not as commanded. */
export function statusView(status: BoardStatus, arrivedMs: number): StatusView {
  const { firmware, guardFitted, nonce, bootCount, uptimeMs, leaseLeftMs, latchedCause, latchedDetail } =
    status;
  const { resetCause, waterPresent, blocks, probeCount, refusedCount, badCrcCount, lostBytes, sounder } =
    status;
  return {
    arrivedMs,
    firmware,
    guardFitted,
    nonce,
    bootCount,
    uptimeMs,
    regulatingClosed: status.measured.regulating,
    guardClosed: status.measured.guard,
    leaseLeftMs,
    latchedCause,
    latchedDetail,
    resetCause,
    waterPresent,
    blocks,
    probeCount,
    refusedCount,
    badCrcCount,
    lostBytes,
    sounder,
  };
}

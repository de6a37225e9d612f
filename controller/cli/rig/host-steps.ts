import type { BoardView } from '../../rig/usb/view.ts';
import { type RigBench, within } from './bench.ts';
import {
  heats,
  isOpen,
  lease,
  MOST_OPEN_MS,
  record,
  refusal,
  runsOut,
  type SentLease,
  type Step,
  type StepParts,
} from './step-parts.ts';

const BOTH_CLOSE_MS = 1200;
/** Until another process has taken over; a board that is reset on opening needs some seconds more. */
const HEARD_AGAIN_MS = 30_000;
const STAYS_OPEN_MS = 3000;

/** One lease for heat; null where the circuit was not seen closed by it. */
async function circuitCloses({ bench }: StepParts, tag: number): Promise<SentLease | null> {
  const sent = await lease(bench, true, true, tag);
  if (sent === null) return null;
  const closed = await within(bench, BOTH_CLOSE_MS, ({ status }) => {
    return status !== null && status.arrivedMs > sent.sentMs && heats(status);
  });
  return closed ? sent : null;
}

/** Heat for one lease, then not a word more: measured at the board's pins, by the board's clock. */
export const silenceStep: Step = async (parts) => {
  const sent = await circuitCloses(parts, 30);
  if (sent === null)
    return record('silence', false, `the circuit did not close with a lease${refusal(parts.bench)}`);
  const tookMs = await runsOut(parts.bench, sent);
  if (tookMs === null)
    return record('silence', false, 'the circuit was not seen to open by itself, or the board was reset');
  const seen = `open ${tookMs} ms after the last lease began; expected at most ${MOST_OPEN_MS}`;
  return record('silence', tookMs <= MOST_OPEN_MS, seen);
};

/**
 * The process that holds the port is killed while heat is on: no release, no last word. Another process looks at the
 * board afterwards. Where opening the port resets the board, that look says that the board wakes up with both switches
 * open; how long it heated is then measured by the step before alone.
 */
export const killedStep: Step = async (parts) => {
  const { bench } = parts;
  if (bench.killHost === null)
    return record('killed', null, 'only where a process of its own talks to the board');
  if ((await circuitCloses(parts, 32)) === null)
    return record('killed', false, `the circuit did not close with a lease${refusal(bench)}`);
  const bootCount = bench.view()?.status?.bootCount;
  const struckMs = bench.nowMs();
  bench.killHost();
  let heardMs: number | null = null;
  const open = await within(bench, HEARD_AGAIN_MS, ({ status }) => {
    if (status === null || status.arrivedMs <= struckMs) return false;
    heardMs ??= status.arrivedMs - struckMs;
    return isOpen(status);
  });
  const status = bench.view()?.status;
  if (!open || !status || heardMs === null) {
    return record('killed', false, 'after the kill the board was not seen with both switches open');
  }
  const openMs = status.arrivedMs - struckMs;
  const closedAgain = await within(bench, STAYS_OPEN_MS, (view) => {
    return view.status?.regulatingClosed === true || view.status?.guardClosed === true;
  });
  // Nobody spoke to it for longer than a lease lasts: it must have been open when it was heard again, not soon after.
  const inTime = openMs <= MOST_OPEN_MS || openMs === heardMs;
  const reset = status.bootCount === bootCount ? 'it was not reset' : 'opening the port reset it';
  const seen = `process killed; open when heard again after ${Math.round(openMs)} ms (${reset}); closed later: ${closedAgain ? 'yes' : 'no'}`;
  return record('killed', inTime && !closedAgain, seen);
};

/** Renewed by then, a lease has not run out. */
const RENEW_MS = 900;
const PULL_MS = 30_000;
const PLUGGED_MS = 60_000;

/** Heat, renewed all the time, until the link is lost: only so does its end say something of the plug. */
async function heatUntilLost(bench: RigBench): Promise<{ lost: boolean; heated: boolean }> {
  let heated = false;
  const look = ({ phase, status }: BoardView): boolean => {
    if (status !== null) heated = heats(status);
    return phase === 'closed' || status === null || bench.nowMs() - status.arrivedMs > MOST_OPEN_MS;
  };
  let tag = 60;
  for (const endMs = bench.nowMs() + PULL_MS; bench.nowMs() < endMs; tag++) {
    await lease(bench, true, true, tag);
    if (await within(bench, RENEW_MS, look)) return { lost: true, heated };
  }
  bench.port.send({ kind: 'release' });
  return { lost: false, heated };
}

/** The plug is pulled while heat is on; a person looks at the heater, and the board comes back with both switches open. */
export const unpluggedStep: Step = async ({ bench, person }) => {
  if (bench.emulated)
    return record('unplugged', null, 'only on a real board: the emulator has its own tests of it');
  await person.please(
    'Heat comes on when you go on, and stays on until you pull the USB plug, for 30 s at most. Wait until the heater is on (meter or lamp), then pull it.',
  );
  const { lost, heated } = await heatUntilLost(bench);
  const off = await person.saw('went-off', 'Was the heater off 2 s after the plug was out (meter or lamp)?');
  await person.please('Plug it in again.');
  const back = await within(bench, PLUGGED_MS, ({ phase, status }) => {
    return phase === 'ready' && status !== null && isOpen(status);
  });
  const yes = (is: boolean) => (is ? 'yes' : 'no');
  const told = off === null ? 'not said' : yes(off);
  const seen = `heat on until the link was lost: ${yes(lost && heated)}; back with both switches open: ${yes(back)}; heater off: ${told}`;
  return record('unplugged', off === null ? null : lost && heated && back && off, seen);
};

import { within } from './bench.ts';
import { lease, MOST_OPEN_MS, record, type Step, type StepParts } from './step-parts.ts';

const BOTH_CLOSE_MS = 1200;
const SILENT_MS = 4000;
/** Until another process has taken over; a board that is reset on opening needs some seconds more. */
const HEARD_AGAIN_MS = 30_000;
const STAYS_OPEN_MS = 3000;

async function circuitCloses({ bench }: StepParts, tag: number): Promise<boolean> {
  await lease(bench, true, true, tag);
  return within(
    bench,
    BOTH_CLOSE_MS,
    ({ status }) => status?.regulatingClosed === true && status.guardClosed,
  );
}

/** Heat for one lease, then not a word more: measured at the board's pins, by the board's clock. */
export const silenceStep: Step = async (parts) => {
  const { bench } = parts;
  if (!(await circuitCloses(parts, 30)))
    return record('silence', false, 'the circuit did not close with a lease');
  const fromMs = bench.view()?.status?.uptimeMs ?? 0;
  const open = await within(
    bench,
    SILENT_MS,
    ({ status }) => status !== null && !status.regulatingClosed && !status.guardClosed,
  );
  const tookMs = (bench.view()?.status?.uptimeMs ?? 0) - fromMs;
  return record(
    'silence',
    open && tookMs <= MOST_OPEN_MS,
    `open ${tookMs} ms after the host fell silent; expected at most ${MOST_OPEN_MS}`,
  );
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
  if (!(await circuitCloses(parts, 32)))
    return record('killed', false, 'the circuit did not close with a lease');
  const bootCount = bench.view()?.status?.bootCount;
  const struckMs = bench.nowMs();
  bench.killHost();
  let heardMs: number | null = null;
  const open = await within(bench, HEARD_AGAIN_MS, ({ status }) => {
    if (status === null || status.arrivedMs <= struckMs) return false;
    heardMs ??= status.arrivedMs - struckMs;
    return !status.regulatingClosed && !status.guardClosed;
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

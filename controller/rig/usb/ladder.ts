import type { RigFault } from './view.ts';

/*
 * What to do about a board that does not speak, step by step, as a pure machine: time comes in, actions come out. The
 * heat needs none of this: a board that is not renewed has opened its switches long before the first rung.
 */

/** Rungs in order. `ready`: the board speaks. `retry`: wait, it may come by itself. */
export const RUNGS = ['starting', 'ready', 'retry', 'reset', 'reopen', 'replace', 'given-up'] as const;
export type Rung = (typeof RUNGS)[number];

export interface LadderState {
  readonly rung: Rung;
  readonly sinceMs: number;
  /** Children replaced since the board last spoke. */
  readonly replaced: number;
  /** When the child last gave any sign of life. */
  readonly childMs: number;
  /** When the board last spoke. */
  readonly boardMs: number;
  readonly fault: RigFault | null;
}

export type LadderEvent =
  | { readonly kind: 'tick' }
  /** The child sent a view; `boardMs`: when a status arrived, null without one. `refused`: by the handshake or the port. */
  | {
      readonly kind: 'view';
      readonly boardMs: number | null;
      readonly ready: boolean;
      readonly fault: RigFault | null;
    }
  | { readonly kind: 'child-gone'; readonly why: string };

export type LadderAction = 'none' | 'reset' | 'reopen' | 'replace';

/** A board or child silent for so long is silent. */
export const SILENT_MS = 2000;
/** How long each rung is given before the next. */
export type Patience = Readonly<Record<Rung, number>>;
export const PATIENCE_MS: Patience = {
  starting: 12_000,
  ready: SILENT_MS,
  retry: 2000,
  reset: 6000,
  reopen: 12_000,
  replace: 15_000,
  // Even then, once a minute, in case somebody has plugged it in again; each time with everything new.
  'given-up': 60_000,
};
const MOST_REPLACED = 3;
/** From the board's last word until it is given up, ms: what whoever restarts this process must wait for. */
export const LADDER_MS =
  PATIENCE_MS.ready +
  PATIENCE_MS.retry +
  PATIENCE_MS.reset +
  PATIENCE_MS.reopen +
  MOST_REPLACED * PATIENCE_MS.replace;
const NEW_CHILD: ReadonlySet<Rung> = new Set(['starting', 'replace', 'given-up']);

/** A ladder at the start of a first child. */
export const startLadder = (nowMs: number): LadderState => ({
  rung: 'starting',
  sinceMs: nowMs,
  replaced: 0,
  childMs: nowMs,
  boardMs: nowMs,
  fault: null,
});

/** Takes in what happened and says what to do. */
export function climb(
  before: LadderState,
  event: LadderEvent,
  nowMs: number,
  patienceMs: Patience = PATIENCE_MS,
): { state: LadderState; action: LadderAction } {
  if (event.kind === 'child-gone') {
    return replace({ ...before, fault: { code: 'rig-child-lost', detail: event.why } }, nowMs);
  }
  if (event.kind === 'view') return { state: heard(before, event, nowMs), action: 'none' };
  const { rung, sinceMs, childMs, boardMs } = before;
  // A child that does not even report is beyond every rung but one: serialport may spin for ever after an unplug.
  // A new one is given its time to start: on a small computer that takes some seconds.
  const childSilent = nowMs - childMs > SILENT_MS && !NEW_CHILD.has(rung);
  if (childSilent && nowMs - sinceMs > SILENT_MS)
    return replace(mute(before, 'The process is silent.'), nowMs);
  if (rung === 'ready' ? nowMs - boardMs <= SILENT_MS : nowMs - sinceMs <= patienceMs[rung]) {
    return { state: before, action: 'none' };
  }
  switch (rung) {
    case 'ready':
      return { state: to(mute(before, 'It fell silent.'), 'retry', nowMs), action: 'none' };
    case 'retry':
      return { state: to(before, 'reset', nowMs), action: 'reset' };
    case 'starting':
    case 'reset':
      return { state: to(mute(before, 'It did not begin to speak.'), 'reopen', nowMs), action: 'reopen' };
    default:
      return replace(before, nowMs);
  }
}

function heard(
  before: LadderState,
  event: Extract<LadderEvent, { kind: 'view' }>,
  nowMs: number,
): LadderState {
  const boardMs = event.boardMs ?? before.boardMs;
  const state = { ...before, childMs: nowMs, boardMs, fault: event.fault ?? before.fault };
  if (!event.ready || nowMs - boardMs > SILENT_MS) return state;
  return {
    ...state,
    rung: 'ready',
    sinceMs: before.rung === 'ready' ? before.sinceMs : nowMs,
    replaced: 0,
    fault: null,
  };
}

function replace(before: LadderState, nowMs: number): { state: LadderState; action: LadderAction } {
  const replaced = before.replaced + 1;
  if (replaced > MOST_REPLACED && before.rung !== 'given-up') {
    return { state: to(before, 'given-up', nowMs), action: 'none' };
  }
  const rung = before.rung === 'given-up' ? 'given-up' : 'replace';
  return { state: { ...to(before, rung, nowMs), replaced, childMs: nowMs }, action: 'replace' };
}

const to = (state: LadderState, rung: Rung, nowMs: number): LadderState => ({
  ...state,
  rung,
  sinceMs: nowMs,
});

const mute = (state: LadderState, detail: string): LadderState => ({
  ...state,
  fault: state.fault ?? { code: 'rig-mute', detail },
});

import type { CommandResult } from '../../shared/wire/command.ts';
import type { ErrorCode } from '../../shared/wire/errors.ts';
import type { AlarmRow } from '../../shared/wire/record.ts';
import type { EventRow } from '../../shared/wire/rows.ts';
import type { TickInput } from '../../shared/wire/tick.ts';
import type { TickState } from './state.ts';

type Writable<T> = { -readonly [K in keyof T]: T[K] };

/**
 * One tick under way: a shallow copy of the state whose fields are replaced one by one (never written into), and what
 * the tick has to tell. It lives for one tick and is never shared, so the state handed in stays as it was.
 */
export interface Work {
  readonly input: TickInput;
  readonly dtS: number;
  readonly next: Writable<TickState>;
  readonly events: EventRow[];
  readonly alarmRows: AlarmRow[];
  readonly results: CommandResult[];
  /** The cook changed and must be written again. */
  cookChanged: boolean;
  /** Ids of the bags that changed and must be written again. */
  readonly bagsChanged: Set<string>;
}

/** Opens a tick on a state. */
export function beginWork(state: TickState, input: TickInput, dtS: number): Work {
  return {
    input,
    dtS,
    next: { ...state },
    events: [],
    alarmRows: [],
    results: [],
    cookChanged: false,
    bagsChanged: new Set(),
  };
}

/** Notes something that happened, for the log. */
export function tell(work: Work, kind: string, text: string, data: Record<string, unknown> = {}): void {
  const cookId = work.next.cook?.cookId ?? null;
  work.events.push({ sequence: work.input.sequence, wallMs: work.input.wallMs, cookId, kind, text, data });
}

/** A command was refused, with the reason's code and what was wrong here. */
export interface Refusal {
  readonly code: ErrorCode;
  readonly detail: string;
}

/** Builds a refusal. */
export function refuse(code: ErrorCode, detail = ''): Refusal {
  return { code, detail };
}

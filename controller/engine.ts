import type { Command, CommandResult } from '../shared/wire/command.ts';
import { BathkeeperError } from '../shared/wire/errors.ts';
import type { TickRecord } from '../shared/wire/record.ts';
import type { EventRow, Sample } from '../shared/wire/rows.ts';
import type { Status } from '../shared/wire/status.ts';
import type { TickInput } from '../shared/wire/tick.ts';
import type { Clock } from './clock.ts';
import type { Committed, Journal } from './journal/journal.ts';
import type { Rig } from './rig/rig.ts';
import type { TickState } from './tick/state.ts';
import { statusOf } from './tick/status.ts';
import { tick } from './tick/tick.ts';

/** The state is kept whole this often, in ticks: 10 minutes. */
const SNAPSHOT_TICKS = 600;
/** Commands beyond this wait for the next tick. */
const COMMANDS_PER_TICK = 64;
/** A command not on disk by then is reported as not answered; it may still be carried out. */
const ANSWER_MS = 8000;

/** What the journal has just put on disk, with the state after it. */
export interface Shown {
  readonly samples: readonly Sample[];
  readonly events: readonly EventRow[];
  readonly status: Status;
  readonly throughSequence: number;
}

export interface EngineParts {
  readonly clock: Clock;
  readonly rig: Rig;
  readonly journal: Journal;
  readonly state: TickState;
  /** The last sequence on disk. */
  readonly lastSequence: number;
  /** Set where a cook was resumed: how long the controller was away. */
  readonly restart: TickInput['restart'];
}

/** The loop's body and its memory; timing is the caller's. */
export interface Engine {
  /** One tick, now. */
  step(): void;
  submit(command: Command): Promise<CommandResult>;
  onCommitted(listener: (shown: Shown) => void): () => void;
  latest(): { status: Status; sequence: number } | null;
  state(): TickState;
  journalLagMs(): number;
}

interface Waiting {
  readonly command: Command;
  readonly settle: (result: CommandResult) => void;
  readonly fail: (error: BathkeeperError) => void;
  readonly timer: NodeJS.Timeout;
}

/** Turns readings and commands into ticks, ticks into leases and records, and commits into news for the page. */
export function makeEngine(parts: EngineParts): Engine {
  const { clock, rig, journal } = parts;
  let { state, restart } = parts;
  let sequence = parts.lastSequence;
  let shown: { status: Status; sequence: number } | null = null;
  const queue: Waiting[] = [];
  const decided = new Map<number, { waiting: Waiting; result: CommandResult }[]>();
  /** States of ticks not on disk yet: the page sees a state only once its tick is. */
  const states = new Map<number, TickState>();
  const listeners = new Set<(shown: Shown) => void>();

  journal.onCommitted((committed) => {
    const news = newsOf(committed, states);
    if (news) {
      shown = { status: news.status, sequence: news.throughSequence };
      for (const listener of listeners) listener(news);
    }
    for (const [at, answers] of decided) {
      if (at > committed.throughSequence) continue;
      decided.delete(at);
      for (const { waiting, result } of answers) {
        clearTimeout(waiting.timer);
        waiting.settle(result);
      }
    }
  });

  const step = (): void => {
    const nowMs = clock.monotonicMs();
    const taken = queue.splice(0, COMMANDS_PER_TICK);
    sequence++;
    const input: TickInput = {
      sequence,
      monotonicMs: nowMs,
      wallMs: Math.round(clock.wallMs()),
      wallTrusted: clock.wallTrusted(),
      ...rig.read(nowMs),
      journalLagMs: journal.lagMs(nowMs),
      commands: taken.map((waiting) => waiting.command),
      restart,
    };
    restart = null;
    const { state: after, output } = tick(state, input);
    state = after;
    rig.heat(output.lease, nowMs);
    const record: TickRecord = {
      input,
      sample: output.sample,
      cookId: after.cook?.cookId ?? null,
      events: output.events,
      alarms: output.alarms,
      commands: taken.map((waiting, index) => ({ command: waiting.command, result: output.results[index]! })),
      cook: output.cook,
      bags: output.bags,
    };
    states.set(sequence, after);
    decided.set(
      sequence,
      record.commands.map(({ command, result }, index) => {
        if (result.accepted) rig.follow(command);
        return { waiting: taken[index]!, result };
      }),
    );
    journal.write(record);
    if (sequence % SNAPSHOT_TICKS === 0) journal.snapshot(sequence, JSON.stringify(after));
  };

  return {
    step,
    submit(command) {
      // Stopping is done at once; the tick and the log follow.
      if (command.kind === 'stop-heat') rig.heat(null, clock.monotonicMs());
      return new Promise<CommandResult>((settle, fail) => {
        const timer = setTimeout(() => fail(new BathkeeperError('not-answering')), ANSWER_MS);
        queue.push({ command, settle, fail, timer });
      });
    },
    onCommitted(listener) {
      listeners.add(listener);
      return () => listeners.delete(listener);
    },
    latest: () => shown,
    state: () => state,
    journalLagMs: () => journal.lagMs(clock.monotonicMs()),
  };
}

function newsOf(committed: Committed, states: Map<number, TickState>): Shown | null {
  const { throughSequence, records } = committed;
  const after = states.get(throughSequence);
  for (const at of states.keys()) if (at <= throughSequence) states.delete(at);
  if (!after) return null;
  return {
    samples: records.map((record) => record.sample),
    events: records.flatMap((record) => record.events),
    status: statusOf(after),
    throughSequence,
  };
}

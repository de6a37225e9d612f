import type { AlarmId, AlarmView } from '../shared/wire/alarm.ts';
import type { Command, CommandResult } from '../shared/wire/command.ts';
import { BathkeeperError } from '../shared/wire/errors.ts';
import type { AlarmRow } from '../shared/wire/record.ts';
import type { EventRow, Sample } from '../shared/wire/rows.ts';
import type { Status } from '../shared/wire/status.ts';
import type { CallsInput, TickInput } from '../shared/wire/tick.ts';
import type { Clock } from './clock.ts';
import type { Committed, Journal } from './journal/journal.ts';
import { newsOf } from './news.ts';
import type { TickFacts } from './notify.ts';
import { rememberOutlook } from './outlook.ts';
import type { Rig, SoundPattern } from './rig/rig.ts';
import { PATTERNS, soundFor } from './sound.ts';
import { alarmViews } from './tick/alarm/view.ts';
import { decidedBefore, printOf } from './tick/repeat.ts';
import type { TickState } from './tick/state.ts';
import { tick } from './tick/tick.ts';

/** The state is kept whole this often, in ticks: 10 minutes. */
const SNAPSHOT_TICKS = 600;
/** States kept while their ticks wait for the disk. */
const MOST_STATES = 300;
/** A disk that is later than this is not waited for with the calling, ms. */
const CALL_AHEAD_MS = 5000;
/** Changes of alarms kept meanwhile; where there were more, what stands decides. */
const MOST_ROWS = 256;
/** Commands beyond this wait for the next tick. */
const COMMANDS_PER_TICK = 64;
/** So many commands may wait for the disk; more are refused, but for stopping the heat. */
const MOST_WAITING = 1000;
/** A command not on disk by then is reported as not answered; it may still be carried out. */
const ANSWER_MS = 8000;

/** What the journal has just put on disk, with the state after it. */
export interface Shown {
  readonly samples: readonly Sample[];
  readonly events: readonly EventRow[];
  readonly alarms: readonly AlarmRow[];
  readonly status: Status;
  readonly throughSequence: number;
}

/** Alarms of a tick that the disk has not taken. */
export interface AlarmsAhead {
  readonly sequence: number;
  /** Changes of state that no commit has brought yet, oldest first. */
  readonly rows: readonly AlarmRow[];
  readonly standing: readonly AlarmView[];
}

/** What calls people, as the loop needs it. */
export interface CallsLink {
  /** Takes in the alarms where the disk is late: who must be called does not wait for it. */
  ahead(alarms: AlarmsAhead): void;
  /** What happened since it was last asked; undefined where nothing did. */
  news(): CallsInput | undefined;
  /** Alarms that the sounder keeps still about: silenced for some minutes, or held back by quiet hours. */
  hushed(): ReadonlySet<AlarmId>;
  /** Somebody wants to hear the sounder at this moment. */
  triesSounder(): boolean;
}

export interface EngineParts {
  readonly clock: Clock;
  readonly rig: Rig;
  readonly journal: Journal;
  readonly state: TickState;
  /** The last sequence on disk. */
  readonly lastSequence: number;
  /** Set at every start on a log that goes on: how long the controller was away. */
  readonly restart: TickInput['restart'];
  /** Ids of every cook in the log: none may be used twice. */
  readonly knownCooks: Iterable<string>;
  /** Null in demo time, where nobody is called. */
  readonly calls?: CallsLink | null;
  /** Called at the end of every tick with what it saw: the one place a watchdog may be fed from. */
  readonly afterTick?: (facts: TickFacts, nowMs: number) => void;
}

/** One command on its way, and everybody who waits for what becomes of it: a page may send it again meanwhile. */
interface Waiting {
  readonly command: Command;
  readonly askers: {
    readonly settle: (result: CommandResult) => void;
    readonly timer: NodeJS.Timeout;
  }[];
}

interface Answer {
  readonly waiting: Waiting;
  readonly result: CommandResult;
}

/**
 * The body of the loop and its memory: turns readings and commands into ticks, ticks into leases and records, and
 * commits into news for the page. When to tick is the caller's business.
 */
export class Engine {
  private readonly parts: EngineParts;
  private current: TickState;
  private restart: TickInput['restart'];
  private sequence: number;
  private leaseAsked = false;
  private readonly cooks: Set<string>;
  private shown: { status: Status; sequence: number } | null = null;
  private readonly queue: Waiting[] = [];
  /** Commands whose result is not on disk yet, by their id. */
  private readonly onTheirWay = new Map<string, Waiting>();
  private readonly decided = new Map<number, readonly Answer[]>();
  /** States of ticks not on disk yet: the page sees a state only once its tick is. */
  private readonly states = new Map<number, TickState>();
  private unsaid: AlarmRow[] = [];
  private readonly outlook = rememberOutlook();
  private readonly listeners = new Set<(shown: Shown) => void>();

  constructor(parts: EngineParts) {
    this.parts = parts;
    this.current = parts.state;
    this.restart = parts.restart;
    this.sequence = parts.lastSequence;
    this.cooks = new Set(parts.knownCooks);
    parts.journal.onCommitted((committed) => this.committed(committed));
  }

  /** One tick, now. */
  step(): void {
    const { clock, rig, journal } = this.parts;
    const nowMs = clock.monotonicMs();
    const taken = this.queue.splice(0, this.takes());
    const input = this.input(nowMs, taken);
    const leaseAnswered = rig.leaseAnswered?.() ?? input.board.link === 'up';
    const { state, output } = tick(this.current, input);
    this.current = state;
    rig.heat(output.lease, nowMs, output.standBy);
    rig.sound?.(this.sound(state), nowMs);
    const answers = taken.map((waiting, index) => ({ waiting, result: output.results[index]! }));
    for (const { waiting, result } of answers) if (result.accepted) rig.follow(waiting.command);
    if (state.cook) this.cooks.add(state.cook.cookId);
    this.states.set(input.sequence, state);
    // While the disk fails, states must not fill the memory; the newest are what anybody wants to see.
    if (this.states.size > MOST_STATES) this.states.delete(this.states.keys().next().value ?? 0);
    if (answers.length > 0) this.decided.set(input.sequence, answers);
    journal.write({
      input,
      sample: output.sample,
      cookId: state.cook?.cookId ?? null,
      events: output.events,
      alarms: output.alarms,
      commands: answers.map(({ waiting, result }) => ({ command: waiting.command, result })),
      cook: output.cook,
      bags: output.bags,
    });
    this.callAhead(input, output.alarms);
    this.parts.afterTick?.(this.facts(leaseAnswered), nowMs);
    this.leaseAsked = output.lease !== null;
    if (input.sequence % SNAPSHOT_TICKS === 0) journal.snapshot(input.sequence, JSON.stringify(state));
  }

  /** While the disk hangs nothing is committed; an alarm must reach people all the same, that of the disk most of all. */
  private callAhead({ sequence, journalLagMs }: TickInput, rows: readonly AlarmRow[]): void {
    const { calls } = this.parts;
    if (!calls) return;
    if (rows.length > 0) this.unsaid = [...this.unsaid, ...rows].slice(-MOST_ROWS);
    if (journalLagMs <= CALL_AHEAD_MS) return;
    calls.ahead({ sequence, rows: this.unsaid, standing: alarmViews(this.current) });
    this.unsaid = [];
  }

  private facts(leaseAnswered: boolean): TickFacts {
    return { freshReading: this.current.quality === 'good', leaseAsked: this.leaseAsked, leaseAnswered };
  }

  /** Somebody who tries the sounder hears it, unless an alarm is louder. */
  private sound(state: TickState): SoundPattern {
    const { calls } = this.parts;
    const alarms = soundFor(state.alarms, calls?.hushed());
    return alarms === 0 && calls?.triesSounder() === true ? PATTERNS.low : alarms;
  }

  /**
   * Hands a command to the next tick; resolves once what the tick made of it is on disk. One of the same id that was
   * handed over before, also before a restart, is not carried out again and gets the same result.
   */
  submit(command: Command): Promise<CommandResult> {
    // Stopping is done at once; the tick and the log follow.
    if (command.kind === 'stop-heat') this.parts.rig.heat(null, this.parts.clock.monotonicMs());
    const underWay = this.onTheirWay.get(command.id);
    if (underWay && command.kind !== 'stop-heat') {
      if (printOf(underWay.command) === printOf(command)) return ask(underWay);
      return Promise.reject(new BathkeeperError('command-id-used'));
    }
    const before = decidedBefore(this.current.decided, command);
    if (before) return Promise.resolve(before);
    if (command.kind === 'start-cook' && this.cooks.has(command.cookId)) {
      return Promise.reject(new BathkeeperError('cook-exists', `The id is "${command.cookId}".`));
    }
    if (this.onTheirWay.size >= MOST_WAITING && !this.mustStillTake(command))
      return Promise.reject(new BathkeeperError('journal-failed', hangingWords(command)));
    const waiting: Waiting = { command, askers: [] };
    this.onTheirWay.set(command.id, waiting);
    this.queue.push(waiting);
    return ask(waiting);
  }

  /**
   * Stopping the heat waits for no later tick, and overtakes nothing: what was asked before it, a start even, comes
   * before it in the same tick, so that the stop has the last word.
   */
  private takes(): number {
    const stop = this.queue.findLastIndex(({ command }) => command.kind === 'stop-heat');
    return Math.max(COMMANDS_PER_TICK, stop + 1);
  }

  /** However full: the command that stops heat which is on or asked for, also by what waits. One more behind it changes nothing. */
  private mustStillTake({ kind }: Command): boolean {
    if (kind !== 'stop-heat') return false;
    if (this.queue.length > 0) return this.queue.at(-1)?.command.kind !== kind;
    const { cook, heat } = this.current;
    return heat.granted || (cook?.endedAtMs === null && heat.stoppedBy === null);
  }

  /** Calls back with what has just reached the disk; gives the function that ends it. */
  onCommitted(listener: (shown: Shown) => void): () => void {
    this.listeners.add(listener);
    return () => this.listeners.delete(listener);
  }

  /** The state after the last tick on disk. */
  latest(): { status: Status; sequence: number } | null {
    return this.shown;
  }

  /** The state after the last tick, on disk or not. */
  state(): TickState {
    return this.current;
  }

  journalLagMs(): number {
    return this.parts.journal.lagMs(this.parts.clock.monotonicMs());
  }

  private input(nowMs: number, taken: readonly Waiting[]): TickInput {
    const { clock, rig, journal } = this.parts;
    this.sequence++;
    const { restart } = this;
    this.restart = null;
    const calls = this.parts.calls?.news();
    return {
      sequence: this.sequence,
      monotonicMs: nowMs,
      wallMs: Math.round(clock.wallMs()),
      wallTrusted: clock.wallTrusted(),
      ...rig.read(nowMs),
      journalLagMs: journal.lagMs(nowMs),
      commands: taken.map((waiting) => waiting.command),
      restart,
      ...(calls ? { calls } : {}),
    };
  }

  private committed(committed: Committed): void {
    if (this.unsaid.length > 0)
      this.unsaid = this.unsaid.filter(({ sequence }) => sequence > committed.throughSequence);
    const news = newsOf(committed, this.states, this.outlook);
    if (news) {
      this.shown = { status: news.status, sequence: news.throughSequence };
      for (const listener of this.listeners) listener(news);
    }
    for (const [sequence, answers] of this.decided) {
      if (sequence > committed.throughSequence) continue;
      this.decided.delete(sequence);
      for (const { waiting, result } of answers) {
        this.onTheirWay.delete(waiting.command.id);
        for (const { settle, timer } of waiting.askers) {
          clearTimeout(timer);
          settle(result);
        }
      }
    }
  }
}

function hangingWords({ kind }: Command): string {
  const heat =
    kind === 'stop-heat'
      ? 'The heat is off, or goes off with the next second, all the same.'
      : 'Stopping the heat always works.';
  return `(${MOST_WAITING} commands wait for the disk, which does not take them: no more are taken. ${heat})`;
}

/** Joins those who wait for a command. A command not on disk in time is reported so; it may still be carried out. */
function ask(waiting: Waiting): Promise<CommandResult> {
  return new Promise((settle, fail) => {
    const timer = setTimeout(() => fail(new BathkeeperError('not-answering')), ANSWER_MS);
    waiting.askers.push({ settle, timer });
  });
}

import { type ChildProcess, fork } from 'node:child_process';
import { createRequire } from 'node:module';
import { dirname, join } from 'node:path';
import { fileURLToPath, pathToFileURL } from 'node:url';
import type { AnalogueProbe } from '../../../shared/wire/analogue.ts';
import { climb, type LadderEvent, type LadderState, type Patience, startLadder } from './ladder.ts';
import { fromChildSchema, machineMs, type ToChild } from './talk.ts';
import type { BoardPort, BoardView, Order, RigFault, Wanted } from './view.ts';

export interface SupervisorOptions {
  readonly path: string;
  /** Null: probes are read, heat is never asked for. */
  readonly wanted: Wanted | null;
  /** Probes on analogue pins; read on a board without our firmware, refused in words on one with it. */
  readonly analogue?: readonly AnalogueProbe[];
  /** The caller's monotonic clock, ms. */
  readonly nowMs: () => number;
  readonly log: (line: string) => void;
  /** How long each rung of the ladder is given; by default what a real board needs. */
  readonly patienceMs?: Patience;
}

const WATCH_MS = 250;
/** After the release has been sent; a child that does not end by then is killed. */
const END_MS = 1000;

/**
 * A board behind a child process. The child is not trusted: what it says is checked, its silence is a lost link, and
 * when it hangs it is killed and another takes its place. Leases name the nonce of a status this process has seen, so
 * nothing that lay in a pipe can heat.
 */
export class SupervisedBoard implements BoardPort {
  private readonly options: SupervisorOptions;
  private child: ChildProcess | null = null;
  private ladder: LadderState;
  private last: BoardView | null = null;
  private readonly timer: NodeJS.Timeout;
  private closed = false;
  /** How long the end of a child is not acted upon. */
  private holdMs = 0;

  constructor(options: SupervisorOptions) {
    this.options = options;
    this.ladder = startLadder(machineMs());
    this.spawn();
    this.timer = setInterval(() => this.happened({ kind: 'tick' }), WATCH_MS);
  }

  view(): BoardView | null {
    const { last, ladder } = this;
    const fault = ladder.fault ?? last?.fault ?? null;
    if (last === null) return { ...NOTHING, fault };
    return ladder.rung === 'ready' || ladder.rung === 'starting' ? last : { ...last, phase: 'closed', fault };
  }

  send(order: Order): void {
    this.say({ kind: 'order', order });
  }

  /** Where on the ladder it stands, and the child's process id. */
  state(): { ladder: LadderState; pid: number | null } {
    return { ladder: this.ladder, pid: this.child?.pid ?? null };
  }

  /**
   * Kills the process that holds the port, without a word to it, and starts no other for so long: for commissioning, where
   * the silence of a dead host is tried. After 2 s the ladder may be quicker.
   */
  strike(silentMs: number): void {
    this.holdMs = silentMs;
    this.child?.kill('SIGKILL');
  }

  async close(): Promise<void> {
    this.closed = true;
    clearInterval(this.timer);
    const { child } = this;
    if (!child || child.exitCode !== null || child.signalCode !== null) return;
    const gone = new Promise<void>((resolve) => child.once('exit', () => resolve()));
    this.say({ kind: 'end' });
    const timer = setTimeout(() => child.kill('SIGKILL'), END_MS);
    await gone;
    clearTimeout(timer);
  }

  private say(message: ToChild): void {
    if (!this.child?.connected) return;
    this.child.send(message, () => undefined);
  }

  private spawn(): void {
    const child = startChild();
    this.child = child;
    this.last = null;
    this.holdMs = 0;
    child.on('message', (raw) => {
      if (child === this.child) this.hear(raw);
    });
    const gone = (why: string): void => {
      // A child that could not be spoken to may live on and hold the port: only one may.
      child.kill('SIGKILL');
      setTimeout(() => {
        if (child !== this.child || this.closed) return;
        this.child = null;
        this.happened({ kind: 'child-gone', why });
      }, this.holdMs);
    };
    child.on('error', (error) => gone(`It could not be started: ${error.message}.`));
    child.on('exit', (code, signal) => gone(`It ended (${signal ?? `code ${code}`}).`));
    this.sayOpen();
  }

  private sayOpen(): void {
    const { path, wanted, analogue = [] } = this.options;
    this.say({ kind: 'open', path, wanted, analogue: [...analogue] });
  }

  private hear(raw: unknown): void {
    const parsed = fromChildSchema.safeParse(raw);
    if (!parsed.success) return;
    this.last = inCallersTime(parsed.data.view, this.options.nowMs() - machineMs(), this.options.nowMs());
    const { phase, status, fault } = parsed.data.view;
    const reading = phase === 'reading';
    const boardMs = reading ? machineMs() : status === null ? null : Math.min(status.arrivedMs, machineMs());
    this.happened({ kind: 'view', boardMs, ready: phase === 'ready' || reading, fault });
  }

  private happened(event: LadderEvent): void {
    if (this.closed) return;
    const before = this.ladder;
    const { state, action } = climb(before, event, machineMs(), this.options.patienceMs);
    this.ladder = state;
    if (state.rung !== before.rung) this.tellRung(before, state);
    if (action === 'reset') this.say({ kind: 'reset' });
    if (action === 'reopen') this.sayOpen();
    if (action === 'replace') this.replaceChild();
  }

  private replaceChild(): void {
    const old = this.child;
    this.child = null;
    old?.kill('SIGKILL');
    this.spawn();
  }

  private tellRung({ fault: before }: LadderState, { rung, fault }: LadderState): void {
    const why: RigFault | null = fault ?? before;
    const words = why === null ? '' : `: ${why.detail}`;
    this.options.log(rung === 'ready' ? 'The board speaks.' : `The board: ${rung}${words}`);
  }
}

const NOTHING: BoardView = {
  phase: 'closed',
  fault: null,
  boardName: null,
  status: null,
  probes: [],
  answer: null,
};

/** Stamps of the machine's clock in the caller's; none lies in the future, whatever the child says. */
function inCallersTime(view: BoardView, offsetMs: number, nowMs: number): BoardView {
  const shifted = <T extends { arrivedMs: number }>(one: T): T => ({
    ...one,
    arrivedMs: Math.min(nowMs, one.arrivedMs + offsetMs),
  });
  return {
    ...view,
    status: view.status === null ? null : shifted(view.status),
    answer: view.answer === null ? null : shifted(view.answer),
    probes: view.probes.map(shifted),
  };
}

/** Compiled code starts the compiled child; from TypeScript (tests, benches) the child is first given a loader. */
function startChild(): ChildProcess {
  const typescript = import.meta.url.endsWith('.ts');
  const file = fileURLToPath(new URL(`./child.${typescript ? 'ts' : 'js'}`, import.meta.url));
  return fork(file, [], { execArgv: typescript ? ['--import', loader()] : [], stdio: 'inherit' });
}

function loader(): string {
  const manifest = createRequire(import.meta.url).resolve('tsx/package.json');
  return pathToFileURL(join(dirname(manifest), 'dist', 'loader.mjs')).href;
}

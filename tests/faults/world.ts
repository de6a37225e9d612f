import { SimulatedRig } from '../../controller/rig/simulated.ts';
import { settingsFrom } from '../../controller/tick/settings.ts';
import { startState, type TickState } from '../../controller/tick/state.ts';
import { type TickOutput, tick } from '../../controller/tick/tick.ts';
import { applyPlantEvent, type PlantEvent, type PlantState } from '../../shared/bath/plant.ts';
import type { Command } from '../../shared/wire/command.ts';
import { checkConfig } from '../../shared/wire/config.ts';
import type { Board, Reading } from '../../shared/wire/reading.ts';
import type { CallsInput, TickInput } from '../../shared/wire/tick.ts';
import type { Scene } from './scene.ts';

/** What can go wrong between the bath and the tick: at the board, in the log, in time. */
export interface Interference {
  board?: (board: Board) => Board;
  bath?: (reading: Reading) => Reading;
  journalLagMs?: number;
  /** Seconds that the next tick comes late. */
  lateS?: number;
  /** Wall clock less monotonic clock, ms. */
  wallOffMs?: number;
  restartAwayMs?: number;
  /** What the log had lost at that restart. */
  lostLog?: NonNullable<NonNullable<TickInput['restart']>['log']>;
  /** What the ways of calling people report with the next tick. */
  calls?: CallsInput;
}

/** One second as a judge sees it. */
export interface Second {
  readonly atS: number;
  readonly state: TickState;
  readonly output: TickOutput;
  readonly plant: PlantState;
}

const START_MS = Date.UTC(2026, 10, 20, 19, 0, 0);

/** The real tick on a virtual clock against the simulated bath, with a hand on everything between them. */
export class World {
  readonly scene: Scene;
  readonly rig: SimulatedRig;
  state: TickState;
  readonly interference: Interference = {};
  private nowMs = 0;
  private sequence = 0;
  private ids = 0;
  private readonly waiting: Command[] = [];

  constructor(scene: Scene, startC: number, noiseSeed: number) {
    this.scene = scene;
    const checked = checkConfig(scene.config);
    if (!checked.ok) throw new Error(checked.faults.join('\n'));
    this.state = startState(settingsFrom(checked.config, 'campaign'));
    this.rig = new SimulatedRig({
      spec: scene.spec,
      plant: null,
      seed: noiseSeed,
      startC,
      nowMs: 0,
      text: 'campaign',
      fitted: scene.fitted,
    });
  }

  /** Seconds since the start. */
  get atS(): number {
    return this.nowMs / 1000;
  }

  get plant(): PlantState {
    return this.rig.plantState();
  }

  /** Lets something happen to the bath. */
  event(event: PlantEvent): void {
    applyPlantEvent(this.scene.spec, this.plant, event);
  }

  /** Says something to the controller with the next tick; the bath does not follow by itself. */
  say(command: { kind: Command['kind'] } & Record<string, unknown>): void {
    this.waiting.push({ id: `c${++this.ids}`, by: 'Cook', ...command } as unknown as Command);
  }

  /** One tick. */
  step(): Second {
    const { interference } = this;
    this.nowMs += 1000 + 1000 * (interference.lateS ?? 0);
    interference.lateS = 0;
    const snapshot = this.rig.read(this.nowMs);
    const bath = interference.bath?.(snapshot.readings.bath) ?? snapshot.readings.bath;
    const ambient = this.scene.ambientProbe ? snapshot.readings.ambient : null;
    const away = interference.restartAwayMs;
    const { calls, lostLog } = interference;
    delete interference.restartAwayMs;
    delete interference.calls;
    delete interference.lostLog;
    const input: TickInput = {
      sequence: ++this.sequence,
      monotonicMs: this.nowMs,
      wallMs: START_MS + this.nowMs + (interference.wallOffMs ?? 0),
      wallTrusted: true,
      readings: { ...snapshot.readings, bath, ambient },
      board: interference.board?.(snapshot.board) ?? snapshot.board,
      journalLagMs: interference.journalLagMs ?? 0,
      commands: this.waiting.splice(0),
      restart: away === undefined ? null : { awayMs: away, ...(lostLog ? { log: lostLog } : {}) },
      ...(calls ? { calls } : {}),
    };
    const { state, output } = tick(this.state, input);
    this.state = state;
    this.rig.heat(output.lease, this.nowMs, output.standBy);
    return { atS: this.atS, state, output, plant: this.plant };
  }

  /** Starts the scene's cook. */
  startCook(setpointC = this.scene.setpointC): void {
    this.say({
      kind: 'start-cook',
      cookId: 'campaign',
      name: 'Campaign',
      setpointC,
      lowSetpointConfirmed: true,
    });
  }
}

import { SimulatedRig } from '../../controller/rig/simulated.ts';
import { settingsFrom } from '../../controller/tick/settings.ts';
import { startState, type TickState } from '../../controller/tick/state.ts';
import { type TickOutput, tick } from '../../controller/tick/tick.ts';
import { hutSpec, type PlantSpec, truth } from '../../shared/bath/plant.ts';
import type { Command } from '../../shared/wire/command.ts';
import { type ConfigInput, checkConfig } from '../../shared/wire/config.ts';
import type { TickInput } from '../../shared/wire/tick.ts';

/** A bench cook: the real tick on a virtual clock against the simulated bath. */
export interface BenchCook {
  state(): TickState;
  /** Runs so many ticks of one second; `each` sees every output. */
  run(seconds: number, each?: (output: TickOutput, waterC: number) => void): TickOutput;
  /** Gives commands to the next tick and runs it. */
  say(...commands: Command[]): TickOutput;
  readonly rig: SimulatedRig;
  waterC(): number;
  readonly inputs: TickInput[];
}

/** Invented wall clock of the bench: an evening in the hut. */
export const BENCH_START_MS = Date.UTC(2026, 10, 20, 19, 0, 0);

export interface BenchOptions {
  readonly config?: ConfigInput;
  readonly spec?: PlantSpec;
  readonly seed?: number;
  readonly startC?: number;
  readonly keepInputs?: boolean;
}

/** Sets up a bench cook on the hut's rig. */
export function benchCook(options: BenchOptions = {}): BenchCook {
  const checked = checkConfig(options.config ?? {});
  if (!checked.ok) throw new Error(checked.faults.join('\n'));
  const spec = options.spec ?? hutSpec();
  const rig = new SimulatedRig({
    spec,
    plant: null,
    seed: options.seed ?? 1,
    nowMs: 0,
    text: 'bench',
    ...(options.startC === undefined ? {} : { startC: options.startC }),
  });
  let state = startState(settingsFrom(checked.config, 'bench'));
  let nowMs = 0;
  let sequence = 0;
  const inputs: TickInput[] = [];
  const waterC = () => truth(spec, rig.plantState()).waterC;

  const step = (commands: Command[]): TickOutput => {
    nowMs += 1000;
    sequence++;
    const input: TickInput = {
      sequence,
      monotonicMs: nowMs,
      wallMs: BENCH_START_MS + nowMs,
      wallTrusted: true,
      ...rig.read(nowMs),
      journalLagMs: 0,
      commands,
      restart: null,
    };
    if (options.keepInputs) inputs.push(input);
    const { state: after, output } = tick(state, input);
    state = after;
    rig.heat(output.lease, nowMs, output.standBy);
    commands.forEach((command, i) => {
      if (output.results[i]?.accepted) rig.follow(command);
    });
    return output;
  };

  return {
    rig,
    inputs,
    waterC,
    state: () => state,
    say: (...commands) => step(commands),
    run(seconds, each) {
      let output = step([]);
      each?.(output, waterC());
      for (let i = 1; i < seconds; i++) {
        output = step([]);
        each?.(output, waterC());
      }
      return output;
    },
  };
}

let ids = 0;
const id = () => `c${++ids}`;

/** Commands of the hut's evening, short to write. */
export const say = {
  start: (setpointC: number, lowSetpointConfirmed = false): Command => ({
    kind: 'start-cook',
    id: id(),
    by: 'Hut phone',
    cookId: 'hut-supper',
    name: 'Hut supper',
    setpointC,
    lowSetpointConfirmed,
  }),
  setpoint: (setpointC: number, lowSetpointConfirmed = false): Command => ({
    kind: 'set-setpoint',
    id: id(),
    by: 'Hut phone',
    setpointC,
    lowSetpointConfirmed,
  }),
  bagIn: (bagId: string, cutId: string, thicknessMm: number, massKg: number, agoS = 0): Command => ({
    kind: 'bag-in',
    id: id(),
    by: 'Hut phone',
    bag: { bagId, label: bagId, cutId, beta: 0.7, thicknessMm, massKg, startC: 5, endpoint: 'fork-tender' },
    agoS,
  }),
  bagOut: (bagId: string): Command => ({ kind: 'bag-out', id: id(), by: 'Hut phone', bagId }),
  answer: (foodIn: boolean): Command => ({ kind: 'answer-load', id: id(), by: 'Hut phone', foodIn }),
  stop: (): Command => ({ kind: 'stop-heat', id: id(), by: 'unpaired phone' }),
  allow: (): Command => ({ kind: 'allow-heat', id: id(), by: 'Hut phone' }),
  acknowledge: (alarmId: Extract<Command, { kind: 'acknowledge' }>['alarmId']): Command => ({
    kind: 'acknowledge',
    id: id(),
    by: 'Hut phone',
    alarmId,
  }),
  clear: (alarmId: Extract<Command, { kind: 'clear' }>['alarmId']): Command => ({
    kind: 'clear',
    id: id(),
    by: 'Hut phone',
    alarmId,
    atBath: true,
  }),
  end: (): Command => ({ kind: 'end-cook', id: id(), by: 'Hut phone' }),
};

/** The hut's three bags: two lamb shoulders and a pork neck. */
export const hutBags = (): Command[] => [
  say.bagIn('lamb-1', 'lamb-shoulder', 55, 1.1),
  say.bagIn('lamb-2', 'lamb-shoulder', 60, 1.2),
  say.bagIn('neck', 'pork-neck', 70, 1.4),
];

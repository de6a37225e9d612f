import { CYCLES_PER_MS, PIN } from '../../hardware/emulator/index.ts';
import { tripCauseName } from '../../shared/wire/board-codes.ts';
import type { CampaignFault } from './campaign-faults.ts';
import { pass, type Scene, sceneAt } from './campaign-scene.ts';

/** How one moment ended. */
export interface Outcome {
  seed: number;
  /** From the fault to the last moment the circuit was closed, ms; infinite when it never opened. */
  openMs: number;
  caughtBy: string;
  /** What is wrong with it, or null. */
  wrong: string | null;
}

/** Outcomes of a fault in short. */
export interface Summary {
  name: string;
  title: string;
  boundMs: number;
  moments: number;
  medianMs: number;
  worstMs: number;
  caughtBy: Record<string, number>;
  failures: Outcome[];
}

// Long enough for the slowest cut (3.5 s) and for anything that would close the circuit again.
const WATCHED_MS = 5000;

/** What opened the circuit, from the board's own side: supply, reset causes, latched cause, or the end of a lease. */
function caughtBy(scene: Scene): string {
  const { board, host } = scene;
  if (!board.chip.state.powered) return 'supply gone';
  if (board.resets.watchdog > 0) return 'watchdog';
  if (board.resets.brownOut > 0) return 'brown-out detector';
  const cause = host.state.status?.latchedCause ?? 0;
  return cause === 0 ? 'lease ran out' : `trip ${tripCauseName(cause)}`;
}

function judge(fault: CampaignFault, scene: Scene, openMs: number, caught: string): string | null {
  if (openMs === Number.POSITIVE_INFINITY) return `still closed ${WATCHED_MS / 1000} s later`;
  if (openMs > fault.boundMs) return `open after ${openMs.toFixed(1)} ms, ${fault.boundMs} ms allowed`;
  for (const pin of [PIN.regulating, PIN.guard]) {
    if (scene.board.pin(pin) === 'high') return `pin D${pin} is still high`;
  }
  return fault.expected.includes(caught)
    ? null
    : `caught by "${caught}", expected ${fault.expected.join(' or ')}`;
}

/** One seeded moment with heat on, one fault, and what became of the circuit. */
export function runMoment(fault: CampaignFault, seed: number): Outcome {
  const scene = sceneAt(seed);
  const { board } = scene;
  if (!board.heaterClosed) {
    const refusals = scene.host.state.refusals.join(', ') || 'none';
    return {
      seed,
      openMs: Number.NaN,
      caughtBy: 'nothing',
      wrong: `no heat before the fault (refusals: ${refusals})`,
    };
  }
  board.switches.drain();
  const faultMs = fault.strike(scene);
  pass(scene, WATCHED_MS);
  const last = board.switches.state.circuit.at(-1);
  const open = !board.heaterClosed && last !== undefined;
  const openMs = open ? last.atCycles / CYCLES_PER_MS - faultMs : Number.POSITIVE_INFINITY;
  const caught = caughtBy(scene);
  return { seed, openMs, caughtBy: caught, wrong: judge(fault, scene, openMs, caught) };
}

/** Many moments of one fault; seeds count up from `firstSeed`. */
export function runFault(fault: CampaignFault, moments: number, firstSeed: number): Summary {
  const outcomes = Array.from({ length: moments }, (_, index) => runMoment(fault, firstSeed + index));
  const times = outcomes.map(({ openMs }) => openMs).sort((a, b) => a - b);
  const caught: Record<string, number> = {};
  for (const outcome of outcomes) caught[outcome.caughtBy] = (caught[outcome.caughtBy] ?? 0) + 1;
  return {
    name: fault.name,
    title: fault.title,
    boundMs: fault.boundMs,
    moments,
    medianMs: times[Math.floor(times.length / 2)] ?? Number.NaN,
    worstMs: times.at(-1) ?? Number.NaN,
    caughtBy: caught,
    failures: outcomes.filter(({ wrong }) => wrong !== null),
  };
}

/** The command that repeats a failed moment, and what was wrong. */
export const repeatLine = (summary: Summary, { seed, wrong }: Outcome): string =>
  `${summary.title}: ${wrong}. Repeat: npm run campaign:board -- --fault ${summary.name} --seed ${seed} --moments 1`;

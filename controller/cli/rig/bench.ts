import type { AnalogueProbe } from '../../../shared/wire/analogue.ts';
import { romText } from '../../../shared/wire/rom.ts';
import { openEmulatedPort } from '../../rig/emulated.ts';
import { SupervisedBoard } from '../../rig/usb/supervisor.ts';
import type { BoardPort, BoardView, Wanted } from '../../rig/usb/view.ts';

/** What the person at the rig is asked to do; on the emulated board it is done for them. */
export type Deed = 'warm-probe' | 'cool-probe' | 'lift-float' | 'drop-float' | 'pull-plug' | 'plug-in';

/** A board on the bench, with time that passes. */
export interface RigBench {
  readonly name: string;
  readonly emulated: boolean;
  readonly port: BoardPort;
  nowMs(): number;
  /** Lets time pass. */
  pass(ms: number): Promise<void>;
  view(): BoardView | null;
  /** On the emulated board: does it. Else nothing: a person does. */
  act(deed: Deed): void;
  /** Kills the process that talks to the board, as nothing could be more silent; null where there is none. */
  readonly killHost: (() => void) | null;
}

/** Longer than any lease: what is seen after it, the board did alone. */
const HOST_DEAD_MS = 2500;
const COLD_C = 18;
const HAND_C = 32;

/** The board on a serial port. */
export function usbBench(
  path: string,
  wanted: Wanted | null,
  analogue: readonly AnalogueProbe[],
  log: (line: string) => void,
): RigBench {
  const nowMs = () => performance.now();
  const port = new SupervisedBoard({ path, wanted, analogue, nowMs, log });
  return {
    name: path,
    emulated: false,
    port,
    nowMs,
    pass: (ms) => new Promise((resolve) => setTimeout(resolve, ms)),
    view: () => port.view(),
    act: () => undefined,
    killHost: () => port.strike(HOST_DEAD_MS),
  };
}

/** The emulated board by itself, with two probes; its time passes as fast as it goes. */
export async function emulatedBench(
  wantedFor: (bathRom: string) => Wanted | null,
  analogue: readonly AnalogueProbe[] = [],
): Promise<RigBench> {
  // Only here: the whole controller would be loaded with it, which takes a small computer seconds.
  const { loadEmulator } = await import('../../main.ts');
  const { emulator, hex } = await loadEmulator();
  let bathC = COLD_C;
  const { bath, ambient } = emulator.BATH_PROBE_ROMS;
  const board = new emulator.Board({
    hex,
    probes: [
      { rom: bath, celsius: () => bathC },
      { rom: ambient, celsius: () => COLD_C },
    ],
  });
  const rom = romText(bath);
  const connect = () => new emulator.BoardStream(board, { resetOnOpen: true });
  let nowMs = 0;
  const bench = {
    get nowMs() {
      return board.nowMs;
    },
    advanceTo: (ms: number) => board.advanceTo(ms),
    connect,
  };
  const port = await openEmulatedPort(bench, wantedFor(rom), 0, analogue);
  const deeds: Readonly<Record<Deed, () => void>> = {
    'warm-probe': () => {
      bathC = HAND_C;
    },
    'cool-probe': () => {
      bathC = COLD_C;
    },
    'lift-float': () => {
      board.waterPresent = false;
    },
    'drop-float': () => {
      board.waterPresent = true;
    },
    'pull-plug': () => board.faults.pullUsb(),
    'plug-in': () => board.faults.plugUsb(),
  };
  return {
    name: 'the emulated board',
    emulated: true,
    port,
    nowMs: () => nowMs,
    async pass(ms) {
      nowMs += ms;
      port.view(nowMs);
      await new Promise((resolve) => setImmediate(resolve));
    },
    view: () => port.view(nowMs),
    act: (deed) => deeds[deed](),
    killHost: null,
  };
}

/** Waits until something is so; false where it was not within the time. */
export async function within(
  bench: RigBench,
  ms: number,
  what: (view: BoardView) => boolean,
): Promise<boolean> {
  for (const endMs = bench.nowMs() + ms; bench.nowMs() < endMs; ) {
    const view = bench.view();
    if (view !== null && what(view)) return true;
    await bench.pass(100);
  }
  return false;
}

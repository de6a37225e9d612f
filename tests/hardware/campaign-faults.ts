import type { FreezeKind, SwitchName } from '../../hardware/emulator/index.ts';
import { pick, uniform, uniformBetween } from '../../shared/units/random.ts';
import { BATH_NAME, pass, type Scene } from './campaign-scene.ts';

/** One way of going wrong. */
export interface CampaignFault {
  name: string;
  title: string;
  /** The circuit must be open for good this long after the fault, ms. */
  boundMs: number;
  /** What may have caught it, see `caughtBy`. */
  expected: readonly string[];
  /** Makes it happen, and lets pass what belongs to it. Returns the moment that counts as the fault, ms. */
  strike(scene: Scene): number;
}

const FREEZES: readonly FreezeKind[] = ['core', 'loop', 'clock'];
// The contract's own bounds (PROTOCOL.md, section 5) plus 10 ms for the reading of the clock.
const SILENCE_BOUND_MS = 3520;
const LEVEL_BOUND_MS = 1020;
const OVER_TEMPERATURE_BOUND_MS = 1910;
// The sensor's power-on value, when it comes out of the blue, is no reading to the board: silence has to catch it, which
// counts from the last good reading, and that may be of a conversion begun before the jump (760 ms and the reading).
const POWER_ON_C = 85;
const POWER_ON_BOUND_MS = SILENCE_BOUND_MS + 1000;
const LEASE_BOUND_MS = 2000;
const FROZEN_BOUND_MS = 600;

/** Held-back leases of a stalled cable come out when it is released; the host then falls silent. */
function stallAndRelease(scene: Scene): number {
  const { board, host, random } = scene;
  const atMs = board.nowMs;
  board.faults.stallUsb();
  // Half of the stalls end while a nonce may still be fresh, the others long after.
  pass(scene, uniform(random) < 0.5 ? uniformBetween(random, 10, 1500) : uniformBetween(random, 1500, 8000));
  host.state.renewing = false;
  board.faults.releaseUsb();
  return atMs;
}

/** With a switch welded, the other must open at whatever asks for it next: the host's silence, release, low water. */
function weld(scene: Scene, name: SwitchName): number {
  const { board, host, random } = scene;
  board.faults.weldSwitch(name);
  pass(scene, uniformBetween(random, 0, 1000));
  const atMs = board.nowMs;
  const demand = pick(random, 3);
  if (demand === 0) host.state.renewing = false;
  else if (demand === 1) host.release();
  else board.waterPresent = false;
  return atMs;
}

const now = (scene: Scene, act: () => void): number => {
  act();
  return scene.board.nowMs;
};

/** Every fault of the campaign. Faults the board can tell of must be caught by the right check, not by luck. */
export const FAULTS: readonly CampaignFault[] = [
  {
    name: 'hostSilent',
    title: 'host silent',
    boundMs: LEASE_BOUND_MS,
    expected: ['lease ran out'],
    strike: (scene) =>
      now(scene, () => {
        scene.host.state.renewing = false;
      }),
  },
  {
    name: 'usbPulled',
    title: 'USB pulled',
    boundMs: LEASE_BOUND_MS,
    expected: ['lease ran out', 'supply gone'],
    strike: (scene) => now(scene, () => scene.board.faults.pullUsb()),
  },
  {
    name: 'usbStalled',
    title: 'USB stalled, then all released',
    boundMs: LEASE_BOUND_MS,
    expected: ['lease ran out'],
    strike: stallAndRelease,
  },
  {
    name: 'processorFrozen',
    title: 'processor frozen',
    boundMs: FROZEN_BOUND_MS,
    // A lease may run out by its timer interrupt before the watchdog does its part; the watchdog always must.
    expected: ['watchdog'],
    strike: (scene) => now(scene, () => scene.board.faults.freezeProcessor(FREEZES[pick(scene.random, 3)])),
  },
  {
    name: 'brownOut',
    title: 'brown-out',
    boundMs: 1,
    expected: ['brown-out detector'],
    strike: (scene) =>
      now(scene, () => {
        scene.board.faults.brownOut(uniformBetween(scene.random, 0.01, 500), uniform(scene.random) < 0.5);
      }),
  },
  {
    name: 'probeUnplugged',
    title: 'bath probe unplugged',
    boundMs: SILENCE_BOUND_MS,
    expected: ['trip probeSilent', 'trip probeFailing'],
    strike: (scene) => now(scene, () => scene.board.faults.unplugProbe(BATH_NAME)),
  },
  {
    name: 'probeShorted',
    title: 'bath probe shorted',
    boundMs: SILENCE_BOUND_MS,
    expected: ['trip probeSilent', 'trip probeFailing'],
    strike: (scene) =>
      now(scene, () => scene.board.faults.shortProbe(uniform(scene.random) < 0.5 ? 'ground' : 'supply')),
  },
  {
    name: 'levelOpen',
    title: 'level switch open',
    boundMs: LEVEL_BOUND_MS,
    expected: ['trip levelLow'],
    strike: (scene) =>
      now(scene, () => {
        scene.board.waterPresent = false;
      }),
  },
  {
    name: 'overTemperature',
    title: 'own over-temperature',
    boundMs: OVER_TEMPERATURE_BOUND_MS,
    expected: ['trip overTemperature'],
    strike: (scene) =>
      now(scene, () => {
        const celsius = 70 + uniformBetween(scene.random, 0.1, 30);
        scene.bathC = Math.abs(celsius - POWER_ON_C) < 0.1 ? celsius + 0.2 : celsius;
      }),
  },
  {
    name: 'powerOnValue',
    title: 'own over-temperature, a jump to exactly 85.0 degC',
    boundMs: POWER_ON_BOUND_MS,
    expected: ['trip probeFailing', 'trip overTemperature'],
    strike: (scene) =>
      now(scene, () => {
        scene.bathC = POWER_ON_C;
      }),
  },
  {
    name: 'regulatingWelded',
    title: 'regulating switch welded, then a reason to open',
    boundMs: LEASE_BOUND_MS,
    expected: ['lease ran out', 'trip levelLow'],
    strike: (scene) => weld(scene, 'regulating'),
  },
  {
    name: 'guardWelded',
    title: 'guard switch welded, then a reason to open',
    boundMs: LEASE_BOUND_MS,
    expected: ['lease ran out', 'trip levelLow'],
    strike: (scene) => weld(scene, 'guard'),
  },
];

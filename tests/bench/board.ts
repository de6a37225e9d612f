import { Board, restoreBoard, snapshotBoard } from '../../hardware/emulator/index.ts';
import { BATH_ROM, FIRMWARE_HEX, sceneAt } from '../hardware/campaign-scene.ts';

const SIMULATED_S = 30;
const TARGET = 20;
const RESTORES = 200;

/**
 * The emulated board against real time: two probes read once a second, status four times a second, a lease renewed
 * once a second. Named baseline: real time itself, of which a lockstep test wants at least 20 times.
 */
export async function benchBoard(): Promise<string[]> {
  const scene = sceneAt(1);
  const { board, host } = scene;
  const run = (seconds: number): number => {
    const before = performance.now();
    for (let second = 0; second < seconds; second += 1) {
      host.tick();
      board.advance(1000);
    }
    return (seconds * 1000) / (performance.now() - before);
  };
  run(5);
  const heating = run(SIMULATED_S);
  if (!board.heaterClosed)
    throw new Error('The bench board lost its heat; its figures would not be those of a cook.');
  const before = performance.now();
  for (let times = 0; times < RESTORES; times += 1) restoreBoard(board, snapshotBoard(board));
  const eachMs = (performance.now() - before) / RESTORES;
  const boot = performance.now();
  new Board({ hex: FIRMWARE_HEX, probes: [{ rom: BATH_ROM, celsius: () => 60 }] }).advance(2000);
  const bootMs = performance.now() - boot;
  return [
    `emulated board, heating, 2 probes at 1 Hz: ${heating.toFixed(0)} x real time (target ${TARGET}; baseline real time)`,
    `snapshot and restore of a board: ${eachMs.toFixed(2)} ms; instead of booting it for 2 s: ${bootMs.toFixed(0)} ms`,
  ];
}

import { readFileSync } from 'node:fs';
import { expect, it } from 'vitest';
import { step } from '../../hardware/emulator/avr/step.ts';
import { Board, restoreBoard, romBytes, snapshotBoard } from '../../hardware/emulator/index.ts';

const hex = readFileSync(new URL('../../hardware/firmware/image/two-switch.hex', import.meta.url), 'utf8');
const probes = [
  { rom: romBytes(1), celsius: () => 60 },
  { rom: romBytes(2), celsius: () => 20 },
];

/** One instruction at a time, as the datasheet counts them, nothing taken together. */
function runByInstruction(board: Board, untilCycles: number): void {
  const { core } = board.chip;
  const { cpu, events } = core;
  while (cpu.cycles < untilCycles) {
    if (core.asleep && core.interruptWaiting) {
      core.asleep = false;
      cpu.cycles += 4;
      core.interrupt();
    } else if (core.asleep) {
      cpu.cycles = Math.max(cpu.cycles, Math.min(untilCycles, events.nextCycles));
      events.runDue();
    } else if (core.wantsSleep) {
      core.asleep = true;
      cpu.pc += 1;
      cpu.cycles += 1;
    } else {
      const opcode = cpu.progMem[cpu.pc];
      step(cpu);
      events.runDue();
      if (opcode !== 0x9478 && opcode !== 0x9518) core.interrupt();
    }
  }
}

it('takes busy waits of the firmware at once without changing a cycle, a flag or a byte of memory', () => {
  const fast = new Board({ hex, probes });
  const slow = new Board({ hex, probes });
  fast.advanceTo(100);
  restoreBoard(slow, snapshotBoard(fast));
  // Stops at odd places, many of them inside a wait.
  for (let step = 1; step <= 500; step += 1) {
    const untilCycles = 1_600_000 + step * 70_001;
    fast.chip.run(untilCycles);
    runByInstruction(slow, untilCycles);
    expect(JSON.stringify(snapshotBoard(slow))).toBe(JSON.stringify(snapshotBoard(fast)));
  }
});

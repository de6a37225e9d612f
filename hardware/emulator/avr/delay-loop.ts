import type { Core } from './core.ts';

/** `brne .-4`, back to the instruction before it: what a delay loop of two instructions ends with. */
export const BRNE_BACK_ONE = 0xf7f1;

/**
 * Busy waits are most of what the firmware executes: `dec r; brne .-4` (3 cycles a round) and
 * `sbiw r, 1; brne .-4` (4 cycles). This takes as many whole rounds at once as end before anything else can happen,
 * so every cycle count, flag and register is as if they had been executed.
 */
export function skipDelay(core: Core, untilCycles: number): void {
  const { cpu, events } = core;
  const opcode = cpu.progMem[cpu.pc]!;
  const isDec = (opcode & 0xfe0f) === 0x940a;
  const isSbiwOne = (opcode & 0xffcf) === 0x9701;
  if ((!isDec && !isSbiwOne) || core.interruptWaiting) return;
  const register = isDec ? (opcode & 0x1f0) >> 4 : 24 + ((opcode & 0x30) >> 3);
  const size = isDec ? 0x100 : 0x10000;
  const count = isDec ? cpu.data[register]! : cpu.data[register]! + 256 * cpu.data[register + 1]!;
  const cyclesARound = isDec ? 3 : 4;
  const spareCycles = Math.min(untilCycles, events.nextCycles) - cpu.cycles - 1;
  // The last round is left to be executed: it sets the flags and leaves the loop.
  const rounds = Math.min((count + size - 1) % size, Math.floor(spareCycles / cyclesARound));
  if (rounds <= 0) return;
  cpu.cycles += rounds * cyclesARound;
  const left = (count - rounds + size) % size;
  cpu.data[register] = left & 0xff;
  if (isSbiwOne) cpu.data[register + 1] = left >> 8;
}

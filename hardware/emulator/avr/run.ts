import type { Core } from './core.ts';
import { BRNE_BACK_ONE, skipDelay } from './delay-loop.ts';
import { inside } from './internals.ts';
import { step } from './step.ts';

// Bound here once: a test runner looks imported names up again at each of some million uses a second.
const execute = step;
const brneBackOne = BRNE_BACK_ONE;
const SLEEP = 0x9588;
const SEI = 0x9478;
const RETI = 0x9518;
// Waking from idle takes the interrupt response and no more: datasheet, "Interrupt Response Time".
const WAKE_CYCLES = 4;

/** Runs instructions until a cycle, or until the watchdog wants a reset. Sleep costs nothing but its events. */
export function runCode(core: Core, untilCycles: number): void {
  const { cpu, events } = core;
  const internals = inside(cpu);
  const words = cpu.progMem;
  while (cpu.cycles < untilCycles && !core.watchdogBarked) {
    if (core.asleep) {
      sleepOn(core, untilCycles);
      continue;
    }
    const opcode = words[cpu.pc];
    if (opcode === SLEEP && core.wantsSleep) {
      core.asleep = true;
      cpu.pc += 1;
      cpu.cycles += 1;
      continue;
    }
    if (words[cpu.pc + 1] === brneBackOne) skipDelay(core, untilCycles);
    execute(cpu);
    const event = internals.nextClockEvent;
    if (event !== null && event.cycles <= cpu.cycles) events.runDue();
    // One instruction runs after SEI or RETI before any interrupt: "sei; sleep" relies on it.
    if (cpu.nextInterrupt >= 0 && opcode !== SEI && opcode !== RETI) core.interrupt();
  }
}

function sleepOn(core: Core, untilCycles: number): void {
  if (core.interruptWaiting) {
    core.asleep = false;
    core.cpu.cycles += WAKE_CYCLES;
    core.interrupt();
    return;
  }
  passTime(core, untilCycles);
}

/**
 * Lets time pass up to the next event or a cycle, whichever is first, without executing anything.
 * @param wanted events this stopped or unpowered chip still has; others are dropped.
 */
export function passTime(core: Core, untilCycles: number, wanted?: (name: string) => boolean): void {
  const { cpu, events } = core;
  cpu.cycles = Math.max(cpu.cycles, Math.min(events.nextCycles, untilCycles));
  events.runDue(wanted);
}

/** Where a stuck program goes round: the loop it never leaves, with interrupts still served. */
export interface StuckAt {
  pc: number;
  sp: number;
}

/**
 * A main loop that never returns while interrupt handlers go on: at the place it is stuck nothing executes,
 * anywhere else (inside a handler) code runs.
 */
export function runStuck(core: Core, untilCycles: number, stuckAt: StuckAt): void {
  const { cpu, events } = core;
  while (cpu.cycles < untilCycles && !core.watchdogBarked) {
    if (cpu.pc === stuckAt.pc && cpu.SP === stuckAt.sp) {
      if (core.interruptWaiting) core.interrupt();
      else passTime(core, untilCycles);
      continue;
    }
    const opcode = cpu.progMem[cpu.pc];
    execute(cpu);
    events.runDue();
    if (cpu.nextInterrupt >= 0 && opcode !== SEI && opcode !== RETI) core.interrupt();
  }
}

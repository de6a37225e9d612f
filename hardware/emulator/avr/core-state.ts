import type { AdcState } from './adc.ts';
import type { Core } from './core.ts';
import type { EepromState } from './eeprom.ts';
import type { DueEvent } from './events.ts';
import { inside, interruptsOf, numbersOf } from './internals.ts';
import type { UartState } from './uart.ts';
import type { WatchdogState } from './watchdog.ts';

/** A core between two instructions, as plain data. */
export interface CoreState {
  cycles: number;
  pc: number;
  /** Registers, I/O and SRAM, base64. */
  memory: string;
  asleep: boolean;
  watchdogBarked: boolean;
  /** Interrupts waiting, by vector address, and whether each stays until its cause goes. */
  pending: { address: number; constant: boolean }[];
  ports: Record<string, number | boolean>[];
  timers: Record<string, number | boolean>[];
  uart: UartState;
  eeprom: EepromState;
  adc: AdcState;
  watchdog: WatchdogState;
  due: DueEvent[];
}

/** Writes a core down. */
export function snapshotCore(core: Core): CoreState {
  const { cpu } = core;
  const pending = inside(cpu).pendingInterrupts.filter((source) => source != null);
  return {
    cycles: cpu.cycles,
    pc: cpu.pc,
    memory: Buffer.from(cpu.data).toString('base64'),
    asleep: core.asleep,
    watchdogBarked: core.watchdogBarked,
    pending: pending.map(({ address, constant }) => ({ address, constant: constant ?? false })),
    ports: Object.values(core.ports).map(numbersOf),
    timers: core.timers.map(numbersOf),
    uart: core.uart.snapshot(),
    eeprom: core.eeprom.snapshot(),
    adc: core.adc.snapshot(),
    watchdog: core.watchdog.snapshot(),
    due: core.events.list(),
  };
}

/** Puts a written-down core into a blank one. */
export function restoreCore(core: Core, state: CoreState): void {
  const { cpu } = core;
  cpu.cycles = state.cycles;
  cpu.pc = state.pc;
  cpu.data.set(Buffer.from(state.memory, 'base64'));
  core.asleep = state.asleep;
  core.watchdogBarked = state.watchdogBarked;
  for (const [index, port] of Object.values(core.ports).entries()) Object.assign(port, state.ports[index]);
  for (const [index, timer] of core.timers.entries()) Object.assign(timer, state.timers[index]);
  core.uart.restore(state.uart);
  core.eeprom.restore(state.eeprom);
  core.adc.restore(state.adc);
  core.watchdog.restore(state.watchdog);
  core.events.restore(state.due);
  const { ports, timers, uart, eeprom, adc, watchdog } = core;
  const sources = [...Object.values(ports), ...timers, uart, eeprom, adc, watchdog].flatMap(interruptsOf);
  for (const { address, constant } of state.pending) {
    const source = sources.find((one) => one.address === address);
    if (source === undefined) throw new Error(`The snapshot has an unknown interrupt at vector ${address}.`);
    source.constant = constant;
    cpu.queueInterrupt(source);
  }
}

import type { CPU } from 'avr8js';

/** Processor clock of the board, Hz (crystal or ceramic resonator on the board). */
export const CLOCK_HZ = 16_000_000;
/** Processor cycles in a millisecond. */
export const CYCLES_PER_MS = CLOCK_HZ / 1000;
/** Processor cycles in a microsecond. */
export const CYCLES_PER_US = CLOCK_HZ / 1_000_000;

/** An interrupt source as avr8js describes it. */
export type AVRInterruptConfig = Parameters<CPU['queueInterrupt']>[0];

/** One entry of avr8js's list of things that will happen at a cycle. */
export interface ClockEvent {
  cycles: number;
  callback: () => void;
  next: ClockEvent | null;
}

/**
 * The private fields of avr8js 0.21.1 that a run loop and a snapshot cannot do without. The package is
 * pinned to that version; this file is the only place that knows.
 */
export interface CpuInternals {
  nextClockEvent: ClockEvent | null;
  readonly clockEventPool: ClockEvent[];
  readonly pendingInterrupts: (AVRInterruptConfig | null)[];
}

/** The private side of a processor. */
export const inside = (cpu: CPU): CpuInternals => cpu as unknown as CpuInternals;

/** The interrupts a peripheral object of avr8js (or of ours) holds in its fields, arrays included. */
export function interruptsOf(peripheral: object): AVRInterruptConfig[] {
  const isInterrupt = (value: unknown): value is AVRInterruptConfig =>
    typeof value === 'object' && value !== null && 'flagRegister' in value && 'address' in value;
  return Object.values(peripheral).flat().filter(isInterrupt);
}

/** Every number and boolean field of an object: all the state avr8js's ports and timers have. */
export function numbersOf(peripheral: object): Record<string, number | boolean> {
  const fields = Object.entries(peripheral).filter(
    ([, v]) => typeof v === 'number' || typeof v === 'boolean',
  );
  return Object.fromEntries(fields) as Record<string, number | boolean>;
}

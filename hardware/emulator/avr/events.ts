import type { CPU } from 'avr8js';
import { inside } from './internals.ts';

/** Name and cycle of something due, as kept in a snapshot. */
export interface DueEvent {
  name: string;
  atCycles: number;
}

/**
 * Things that happen at a cycle, each under a name, on avr8js's own list.
 *
 * avr8js keeps bare callbacks, which cannot be written down; a name can, so a snapshot can list what is due
 * and a restored board can go on with it.
 */
export class Events {
  readonly #cpu: CPU;
  readonly #byName = new Map<string, () => void>();
  readonly #names = new Map<() => void, string>();

  constructor(cpu: CPU) {
    this.#cpu = cpu;
  }

  /** Makes a callback known under a name; each name once. */
  name(name: string, callback: () => void): void {
    this.#byName.set(name, callback);
    this.#names.set(callback, name);
  }

  /** Sets the one occurrence of a named event to a cycle (at the earliest the next); replaces an earlier one. */
  at(name: string, cycles: number): void {
    const callback = this.#callback(name);
    this.#cpu.clearClockEvent(callback);
    this.#cpu.addClockEvent(callback, cycles - this.#cpu.cycles);
  }

  /** Takes a named event off the list, if it is on it. */
  cancel(name: string): void {
    this.#cpu.clearClockEvent(this.#callback(name));
  }

  /** The cycle of the earliest event, or infinity. */
  get nextCycles(): number {
    return inside(this.#cpu).nextClockEvent?.cycles ?? Number.POSITIVE_INFINITY;
  }

  /** Runs the earliest event if its cycle has come and `wanted` lets it; an unwanted one is dropped. */
  runDue(wanted?: (name: string) => boolean): void {
    const cpu = inside(this.#cpu);
    const event = cpu.nextClockEvent;
    if (event === null || event.cycles > this.#cpu.cycles) return;
    // Off the list first: the callback may put itself back, which avr8js's own loop does not survive.
    cpu.nextClockEvent = event.next;
    const { callback } = event;
    if (cpu.clockEventPool.length < 10) cpu.clockEventPool.push(event);
    if (wanted === undefined || wanted(this.#names.get(callback) ?? '')) callback();
  }

  /** All that is due, in order. */
  list(): DueEvent[] {
    const due: DueEvent[] = [];
    for (let event = inside(this.#cpu).nextClockEvent; event !== null; event = event.next) {
      const name = this.#names.get(event.callback);
      if (name === undefined) throw new Error('A clock event without a name cannot be put in a snapshot.');
      due.push({ name, atCycles: event.cycles });
    }
    return due;
  }

  /** Replaces all that is due by a list from a snapshot, keeping its order among equals. */
  restore(due: readonly DueEvent[]): void {
    const cpu = inside(this.#cpu);
    let next: CpuEvent = null;
    for (const { name, atCycles } of due.toReversed()) {
      next = { cycles: atCycles, callback: this.#callback(name), next };
    }
    cpu.nextClockEvent = next;
  }

  #callback(name: string): () => void {
    const callback = this.#byName.get(name);
    if (callback === undefined) throw new Error(`No clock event is called "${name}" on this board.`);
    return callback;
  }
}

type CpuEvent = ReturnType<typeof inside>['nextClockEvent'];

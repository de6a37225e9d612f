import { AVRTimer, type AVRTimerConfig, type CPU } from 'avr8js';
import type { Events } from './events.ts';
import { interruptsOf } from './internals.ts';

/** The private fields of avr8js's timer that tell when it next does something. */
interface TimerInternals {
  count: (reschedule?: boolean, external?: boolean) => void;
  tcnt: number;
  ocrA: number;
  ocrB: number;
  lastCycle: number;
  divider: number;
  timerMode: number;
  readonly TOP: number;
}

// avr8js's numbers for the two phase-correct modes, whose counter turns round instead of wrapping.
const PHASE_CORRECT = [1, 4];

/**
 * avr8js's timer, woken only when something happens to it.
 *
 * As it comes, the timer puts itself on the list at every count, so a sleeping processor would still cost
 * 250,000 steps a second. This one works out the next compare match or wrap. It gives the same flags, interrupts
 * and pin edges at the same cycles; a test holds both against each other.
 */
export function lazyTimer(cpu: CPU, events: Events, name: string, config: AVRTimerConfig): AVRTimer {
  const timer = new AVRTimer(cpu, config);
  const fields = timer as unknown as TimerInternals;
  const everyCount = fields.count;
  const wake = (reschedule = true, external = false): void => {
    everyCount(false, external);
    if (reschedule && fields.divider > 0) events.at(name, nextWakeCycles(fields));
    else if (reschedule) events.cancel(name);
  };
  fields.count = wake;
  events.name(name, wake);
  // avr8js would also drop the flags whose bit was written 0.
  cpu.writeHooks[config.TIFR] = (value) => {
    for (const source of interruptsOf(timer)) cpu.clearInterruptByFlag(source, value);
    return true;
  };
  // What changes the next wake-up: first count what is past under the old setting, then look again.
  const high = config.bits === 16 ? [config.OCRA, config.OCRB, config.ICR] : [config.OCRA, config.OCRB];
  for (const register of [...high, config.TCCRA, config.TCCRB, config.TCNT]) {
    const write = cpu.writeHooks[register];
    if (write === undefined) continue;
    cpu.writeHooks[register] = (value, old, address, mask) => {
      everyCount(false);
      const handled = write(value, old, address, mask);
      events.at(name, cpu.cycles + 1);
      return handled;
    };
  }
  return timer;
}

function nextWakeCycles(fields: TimerInternals): number {
  const { tcnt, TOP, divider, lastCycle } = fields;
  let counts = 1;
  if (!PHASE_CORRECT.includes(fields.timerMode)) {
    counts = Math.max(1, TOP + 1 - tcnt);
    for (const match of [fields.ocrA, fields.ocrB]) {
      if (match > tcnt) counts = Math.min(counts, match - tcnt);
    }
  }
  return lastCycle + counts * divider;
}

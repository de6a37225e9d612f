import {
  AVRIOPort,
  AVRTimer,
  avrInstruction,
  CPU,
  portBConfig,
  portDConfig,
  timer0Config,
  timer1Config,
  timer2Config,
} from 'avr8js';
import { expect, it } from 'vitest';
import { Events } from '../../hardware/emulator/avr/events.ts';
import { parseIntelHex } from '../../hardware/emulator/avr/hex.ts';
import { lazyTimer } from '../../hardware/emulator/avr/timers.ts';
import { program } from './emulator-fixtures/talk.ts';

/** Every change of ports B and D with its cycle, over some time of the timer program. */
function edges(lazy: boolean, untilCycles: number): { edges: string[]; ended: number } {
  const cpu = new CPU(parseIntelHex(program('timers')).words, 2048);
  const events = new Events(cpu);
  const ports = { B: new AVRIOPort(cpu, portBConfig), D: new AVRIOPort(cpu, portDConfig) };
  const seen: string[] = [];
  for (const [name, port] of Object.entries(ports)) {
    port.addListener((value) => seen.push(`${cpu.cycles} ${name} ${value}`));
  }
  for (const [index, config] of [timer0Config, timer1Config, timer2Config].entries()) {
    if (lazy) lazyTimer(cpu, events, `timer${index}`, config);
    else new AVRTimer(cpu, config);
  }
  while (cpu.cycles < untilCycles) {
    avrInstruction(cpu);
    // The list of events as our run loop serves it; what is left to avr8js is the interrupt.
    while (events.nextCycles <= cpu.cycles) events.runDue();
    cpu.tick();
  }
  return { edges: seen, ended: cpu.cycles };
}

// Reference: avr8js's own timer, which the lazy one replaces for speed.
it('moves pins at the same cycles as the reference timer through CTC, fast PWM, overflow and mode changes', () => {
  const lazy = edges(true, 3_000_000);
  const reference = edges(false, 3_000_000);
  expect(lazy.edges.length).toBeGreaterThan(5000);
  expect(lazy).toEqual(reference);
});

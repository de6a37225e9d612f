import type { CPU } from 'avr8js';
import { pick, type Random } from '../../../shared/units/random.ts';
import type { Events } from './events.ts';

// Registers, bits and times: ATmega328P datasheet DS40002061, chapter "Analog-to-Digital Converter".
const ADCL = 0x78;
const ADCH = 0x79;
const ADCSRA = 0x7a;
const ADMUX = 0x7c;
const ADEN = 0x80;
const ADSC = 0x40;
const ADIF = 0x10;
const ADIE = 0x08;
const ADLAR = 0x20;

/** State of the converter in a snapshot; its registers are in the processor's memory. */
export interface AdcState {
  converting: boolean;
  firstDone: boolean;
}

/** The 10-bit converter, single conversions against AVcc. The last bit is noisy, as on every real board. */
export class Adc {
  readonly #cpu: CPU;
  readonly #events: Events;
  readonly #noise: Random;
  readonly #ratio: (channel: number) => number;
  #state: AdcState = { converting: false, firstDone: false };
  readonly complete = {
    address: 0x2a,
    flagRegister: ADCSRA,
    flagMask: ADIF,
    enableRegister: ADCSRA,
    enableMask: ADIE,
  };

  /** @param ratio input of a channel as a fraction of the supply, 0 to 1. */
  constructor(cpu: CPU, events: Events, noise: Random, ratio: (channel: number) => number) {
    this.#cpu = cpu;
    this.#events = events;
    this.#noise = noise;
    this.#ratio = ratio;
    events.name('adc', () => this.#convert());
    cpu.writeHooks[ADCSRA] = (value) => {
      this.#control(value);
      return true;
    };
  }

  /** State beside the registers, for a snapshot. */
  snapshot(): AdcState {
    return { ...this.#state };
  }

  /** Puts back a snapshot's state. */
  restore(state: AdcState): void {
    this.#state = { ...state };
  }

  #control(value: number): void {
    const { data, cycles } = this.#cpu;
    const flag = value & ADIF ? 0 : data[ADCSRA]! & ADIF;
    if (!(value & ADEN)) {
      this.#state = { converting: false, firstDone: false };
      this.#events.cancel('adc');
    }
    const start = (value & ADEN) !== 0 && (value & ADSC) !== 0 && !this.#state.converting;
    if (start) {
      const prescaler = 2 ** Math.max(1, value & 0x07);
      this.#events.at('adc', cycles + (this.#state.firstDone ? 13 : 25) * prescaler);
      this.#state.converting = true;
    }
    data[ADCSRA] = (value & ~(ADSC | ADIF)) | flag | (this.#state.converting ? ADSC : 0);
    this.#cpu.updateInterruptEnable(this.complete, value);
  }

  #convert(): void {
    const { data } = this.#cpu;
    const channel = data[ADMUX]! & 0x0f;
    const code = Math.floor(this.#ratio(channel) * 1024) + pick(this.#noise, 3) - 1;
    const bounded = Math.min(1023, Math.max(0, code));
    const placed = data[ADMUX]! & ADLAR ? bounded << 6 : bounded;
    data[ADCL] = placed & 0xff;
    data[ADCH] = placed >> 8;
    this.#state = { converting: false, firstDone: true };
    data[ADCSRA]! &= ~ADSC;
    this.#cpu.setInterruptFlag(this.complete);
  }
}

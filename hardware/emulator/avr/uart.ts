import type { CPU } from 'avr8js';
import type { Events } from './events.ts';

// Register addresses and bits: ATmega328P datasheet DS40002061, chapter "USART0".
const UCSRA = 0xc0;
const UCSRB = 0xc1;
const UCSRC = 0xc2;
const UBRRL = 0xc4;
const UBRRH = 0xc5;
const UDR = 0xc6;
const RXC = 0x80;
const TXC = 0x40;
const UDRE = 0x20;
const FE = 0x10;
const DOR = 0x08;
const U2X = 0x02;
const MPCM = 0x01;
const RXEN = 0x10;
const TXEN = 0x08;
const UPM1 = 0x20;
const USBS = 0x08;

/** State of the serial port in a snapshot; its registers are in the processor's memory. */
export interface UartState {
  received: { byte: number; framingError: boolean }[];
  shiftingOut: number | null;
  waitingOut: number | null;
  overruns: number;
}

/**
 * USART0 of the ATmega328P in asynchronous mode: a two-byte receive buffer and a shift register behind it, a
 * transmit buffer before its shift register, and the overrun that real hardware has when software is slow.
 */
export class Uart {
  readonly #cpu: CPU;
  readonly #events: Events;
  readonly #onByte: (byte: number) => void;
  #state: UartState = { received: [], shiftingOut: null, waitingOut: null, overruns: 0 };
  readonly rxComplete = interrupt(0x24, RXC, true);
  readonly dataRegisterEmpty = interrupt(0x26, UDRE, true);
  readonly txComplete = interrupt(0x28, TXC, false);

  /** @param onByte called with each byte once its last stop bit has left the board. */
  constructor(cpu: CPU, events: Events, onByte: (byte: number) => void) {
    this.#cpu = cpu;
    this.#events = events;
    this.#onByte = onByte;
    cpu.data[UCSRA] = UDRE;
    cpu.data[UCSRC] = 0x06;
    events.name('uart.sent', () => this.#sent());
    this.#hookRegisters();
  }

  /** Cycles a character takes at the rate the program set. */
  get cyclesPerCharacter(): number {
    const data = this.#cpu.data;
    const format = data[UCSRC]!;
    const dataBits = 5 + ((format >> 1) & 3);
    const bits = 1 + dataBits + (format & UPM1 ? 1 : 0) + (format & USBS ? 2 : 1);
    return bits * this.cyclesPerBit;
  }

  /** Cycles a bit takes at the rate the program set. */
  get cyclesPerBit(): number {
    const data = this.#cpu.data;
    const divisor = ((data[UBRRH]! & 0x0f) << 8) | data[UBRRL]!;
    return (divisor + 1) * (data[UCSRA]! & U2X ? 8 : 16);
  }

  /** Bytes lost because the program was slow to fetch what had arrived. */
  get overruns(): number {
    return this.#state.overruns;
  }

  /** A character has arrived on the receive pin. Lost when the receiver is off or its buffer is full. */
  receive(byte: number, framingError: boolean): void {
    if (!(this.#cpu.data[UCSRB]! & RXEN)) return;
    const { received } = this.#state;
    // Two buffered and a third in the shift register; the fourth overwrites the third.
    if (received.length >= 3) {
      received.pop();
      this.#state.overruns += 1;
      this.#cpu.data[UCSRA]! |= DOR;
    }
    received.push({ byte, framingError });
    this.#showFirst();
  }

  /** State beside the registers, for a snapshot. */
  snapshot(): UartState {
    return structuredClone(this.#state);
  }

  /** Puts back a snapshot's state. */
  restore(state: UartState): void {
    this.#state = structuredClone(state);
  }

  #hookRegisters(): void {
    const cpu = this.#cpu;
    cpu.readHooks[UDR] = () => this.#readData();
    cpu.writeHooks[UDR] = (value) => {
      this.#writeData(value);
      return true;
    };
    cpu.writeHooks[UCSRA] = (value) => {
      const kept = cpu.data[UCSRA]! & ~(U2X | MPCM);
      cpu.data[UCSRA] = kept | (value & (U2X | MPCM));
      if (value & TXC) cpu.clearInterrupt(this.txComplete);
      return true;
    };
    cpu.writeHooks[UCSRB] = (value) => {
      cpu.data[UCSRB] = value;
      if (!(value & RXEN)) this.#flush();
      for (const source of [this.rxComplete, this.dataRegisterEmpty, this.txComplete]) {
        cpu.updateInterruptEnable(source, value);
      }
      return true;
    };
  }

  #readData(): number {
    const first = this.#state.received.shift();
    this.#cpu.data[UCSRA]! &= ~DOR;
    this.#showFirst();
    return first?.byte ?? 0;
  }

  #showFirst(): void {
    const first = this.#state.received[0];
    this.#cpu.data[UCSRA]! &= ~FE;
    if (first === undefined) {
      this.#cpu.clearInterrupt(this.rxComplete);
      return;
    }
    if (first.framingError) this.#cpu.data[UCSRA]! |= FE;
    this.#cpu.setInterruptFlag(this.rxComplete);
  }

  #flush(): void {
    this.#state.received = [];
    this.#showFirst();
  }

  #writeData(byte: number): void {
    if (!(this.#cpu.data[UCSRB]! & TXEN) || !(this.#cpu.data[UCSRA]! & UDRE)) return;
    if (this.#state.shiftingOut === null) this.#shiftOut(byte);
    else {
      this.#state.waitingOut = byte;
      this.#cpu.clearInterrupt(this.dataRegisterEmpty);
    }
  }

  #shiftOut(byte: number): void {
    this.#state.shiftingOut = byte;
    this.#events.at('uart.sent', this.#cpu.cycles + this.cyclesPerCharacter);
  }

  #sent(): void {
    const byte = this.#state.shiftingOut;
    const next = this.#state.waitingOut;
    this.#state.shiftingOut = null;
    this.#state.waitingOut = null;
    if (next !== null) {
      this.#shiftOut(next);
      this.#cpu.setInterruptFlag(this.dataRegisterEmpty);
    } else this.#cpu.setInterruptFlag(this.txComplete);
    if (byte !== null) this.#onByte(byte);
  }
}

function interrupt(address: number, mask: number, constant: boolean) {
  return { address, flagRegister: UCSRA, flagMask: mask, enableRegister: UCSRB, enableMask: mask, constant };
}

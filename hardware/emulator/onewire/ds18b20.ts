import {
  CONVERSION_US,
  FACTORY_EEPROM,
  POWER_ON_CODE,
  type ProbeEeprom,
  resolutionBits,
  romHex,
  scratchpadBytes,
  storedConfig,
  temperatureCode,
} from './scratchpad.ts';

/** What a sensor is doing between two time slots. */
type Phase =
  | 'idle'
  | 'romCommand'
  | 'readRom'
  | 'matchRom'
  | 'search'
  | 'function'
  | 'write'
  | 'read'
  | 'busy'
  | 'supply';

/** Everything a sensor remembers, as plain data. Times in us of the board's clock. */
export interface ProbeState {
  phase: Phase;
  /** Bits done in this phase. */
  bits: number;
  /** Bits received, least significant first. */
  shift: number;
  /** Within a search: 0 sends the bit, 1 its complement, 2 hears which way to go. */
  searchStep: number;
  inSlot: boolean;
  pullFromUs: number;
  pullUntilUs: number;
  presenceUntilUs: number;
  busyUntilUs: number;
  converting: { readyUs: number; code: number } | null;
  alarm: boolean;
  code: number;
  registers: ProbeEeprom;
  eeprom: ProbeEeprom;
  sending: number[];
}

/** Times a sensor may differ in, us (datasheet, "1-Wire timing"). */
export interface ProbeTiming {
  /** When it looks at the line in a slot the master writes: 15 to 60. Default 30. */
  sampleUs: number;
  /** How long it holds a zero it sends, from the falling edge: 15 to 60. Default 30. */
  holdUs: number;
  /** Wait before the presence pulse: 15 to 60. Default 30. */
  presenceWaitUs: number;
  /** Length of the presence pulse: 60 to 240. Default 120. */
  presenceUs: number;
}

const TYPICAL: ProbeTiming = { sampleUs: 30, holdUs: 30, presenceWaitUs: 30, presenceUs: 120 };
const RESET_US = 480;
const COPY_US = 10_000;
const NEVER = -1;

/** One DS18B20, externally powered, as the wire sees it: edges in, pulls out. Commands: datasheet DS18B20. */
export class Ds18b20 {
  readonly rom: readonly number[];
  readonly timing: ProbeTiming;
  state: ProbeState;
  readonly #celsius: (nowUs: number) => number;

  /**
   * @param rom eight bytes as sent, see `romBytes`.
   * @param celsius temperature now; asked once a conversion, when it begins.
   */
  constructor(rom: readonly number[], celsius: (nowUs: number) => number, timing: Partial<ProbeTiming> = {}) {
    if (rom.length !== 8) throw new Error(`A ROM code has 8 bytes, not ${rom.length}.`);
    this.rom = rom;
    this.#celsius = celsius;
    this.timing = { ...TYPICAL, ...timing };
    this.state = poweredOn({ ...FACTORY_EEPROM });
  }

  /** ROM code as 16 hex digits. */
  get name(): string {
    return romHex(this.rom);
  }

  /** Power was away: everything but its EEPROM is as new. */
  powerOn(): void {
    this.state = poweredOn(this.state.eeprom);
  }

  /** Whether it holds the line low now. */
  pulls(nowUs: number): boolean {
    return nowUs >= this.state.pullFromUs && nowUs < this.state.pullUntilUs;
  }

  /** When what it does to the line next changes, us; infinity if it does nothing. */
  nextChangeUs(nowUs: number): number {
    const { pullFromUs, pullUntilUs } = this.state;
    if (nowUs < pullFromUs) return pullFromUs;
    return nowUs < pullUntilUs ? pullUntilUs : Number.POSITIVE_INFINITY;
  }

  /** The line fell. @param flip disturbs the bit it is about to send. */
  onFall(nowUs: number, flip: () => boolean): void {
    const { state } = this;
    if (nowUs < state.presenceUntilUs) return;
    state.inSlot = true;
    const bit = this.#sentBit(nowUs);
    if (bit === undefined) return;
    const disturbed = flip() ? bit ^ 1 : bit;
    if (disturbed === 0) {
      state.pullFromUs = nowUs;
      state.pullUntilUs = nowUs + this.timing.holdUs;
    }
  }

  /** The line rose after having been low for some time. */
  onRise(nowUs: number, lowUs: number): void {
    const { state } = this;
    if (lowUs >= RESET_US) {
      this.#settle(nowUs);
      this.#enter('romCommand');
      state.inSlot = false;
      state.pullFromUs = nowUs + this.timing.presenceWaitUs;
      state.pullUntilUs = state.pullFromUs + this.timing.presenceUs;
      state.presenceUntilUs = state.pullUntilUs;
      return;
    }
    if (!state.inSlot) return;
    state.inSlot = false;
    this.#endSlot(nowUs, lowUs < this.timing.sampleUs ? 1 : 0);
  }

  #enter(phase: Phase): void {
    Object.assign(this.state, { phase, bits: 0, shift: 0, searchStep: 0 });
  }

  /** Makes a finished conversion's result visible. */
  #settle(nowUs: number): void {
    const { converting, registers } = this.state;
    if (converting === null || nowUs < converting.readyUs) return;
    this.state.code = converting.code;
    this.state.converting = null;
    const whole = (converting.code << 16) >> 20;
    const signed = (byte: number) => (byte << 24) >> 24;
    this.state.alarm = whole >= signed(registers.alarmHigh) || whole <= signed(registers.alarmLow);
  }

  #romBit(index: number): number {
    return (this.rom[index >> 3]! >> (index & 7)) & 1;
  }

  /** The bit it sends in the slot that begins now, or undefined when it listens. */
  #sentBit(nowUs: number): number | undefined {
    const { phase, bits, searchStep, sending } = this.state;
    if (phase === 'readRom') return bits < 64 ? this.#romBit(bits) : 1;
    if (phase === 'search') return searchStep === 2 ? undefined : this.#romBit(bits) ^ searchStep;
    if (phase === 'read') return bits < 72 ? (sending[bits >> 3]! >> (bits & 7)) & 1 : 1;
    if (phase === 'busy') return nowUs >= this.state.busyUntilUs ? 1 : 0;
    return phase === 'supply' ? 1 : undefined;
  }

  #endSlot(nowUs: number, bit: number): void {
    const { state } = this;
    if (state.phase === 'readRom' || state.phase === 'read') {
      state.bits += 1;
      // A single sensor whose ROM was read is addressed: a function command may follow.
      if (state.phase === 'readRom' && state.bits === 64) this.#enter('function');
    } else if (state.phase === 'search') this.#searchSlot(bit);
    else if (state.phase === 'matchRom') {
      if (bit !== this.#romBit(state.bits)) this.#enter('idle');
      else if (++state.bits === 64) this.#enter('function');
    } else if (state.phase === 'romCommand' || state.phase === 'function' || state.phase === 'write') {
      this.#receive(nowUs, bit);
    }
  }

  #searchSlot(bit: number): void {
    const { state } = this;
    if (state.searchStep < 2) state.searchStep += 1;
    else if (bit !== this.#romBit(state.bits)) this.#enter('idle');
    else if (state.bits === 63) this.#enter('function');
    else {
      state.bits += 1;
      state.searchStep = 0;
    }
  }

  #receive(nowUs: number, bit: number): void {
    const { state } = this;
    state.shift |= bit << (state.bits & 7);
    state.bits += 1;
    if (state.bits % 8 !== 0) return;
    const byte = state.shift;
    state.shift = 0;
    if (state.phase === 'write') this.#writeByte(byte);
    else if (state.phase === 'romCommand') this.#romCommand(byte);
    else this.#functionCommand(nowUs, byte);
  }

  #romCommand(command: number): void {
    if (command === 0xcc) this.#enter('function');
    else if (command === 0x55) this.#enter('matchRom');
    else if (command === 0x33) this.#enter('readRom');
    else if (command === 0xf0) this.#enter('search');
    else if (command === 0xec && this.state.alarm) this.#enter('search');
    else this.#enter('idle');
  }

  #functionCommand(nowUs: number, command: number): void {
    const { state } = this;
    this.#settle(nowUs);
    if (command === 0x44) {
      this.#enter('busy');
      const code = temperatureCode(this.#celsius(nowUs));
      const lasts = CONVERSION_US[resolutionBits(state.registers.config)]!;
      state.converting = { readyUs: nowUs + lasts, code };
      state.busyUntilUs = nowUs + lasts;
    } else if (command === 0xbe) {
      this.#enter('read');
      state.sending = scratchpadBytes(state.code, state.registers);
    } else if (command === 0x4e) this.#enter('write');
    else if (command === 0x48) {
      this.#enter('busy');
      state.eeprom = { ...state.registers };
      state.busyUntilUs = nowUs + COPY_US;
    } else if (command === 0xb8) {
      this.#enter('busy');
      state.registers = { ...state.eeprom };
      state.busyUntilUs = nowUs;
    } else this.#enter(command === 0xb4 ? 'supply' : 'idle');
  }

  #writeByte(byte: number): void {
    const { state } = this;
    const which = state.bits / 8;
    if (which === 1) state.registers.alarmHigh = byte;
    else if (which === 2) state.registers.alarmLow = byte;
    else {
      state.registers.config = storedConfig(byte);
      this.#enter('idle');
    }
  }
}

function poweredOn(eeprom: ProbeEeprom): ProbeState {
  return {
    phase: 'idle',
    bits: 0,
    shift: 0,
    searchStep: 0,
    inSlot: false,
    pullFromUs: NEVER,
    pullUntilUs: NEVER,
    presenceUntilUs: NEVER,
    busyUntilUs: NEVER,
    converting: null,
    alarm: false,
    code: POWER_ON_CODE,
    registers: { ...eeprom },
    eeprom: { ...eeprom },
    sending: [],
  };
}

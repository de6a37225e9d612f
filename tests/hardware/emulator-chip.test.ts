import { describe, expect, it } from 'vitest';
import { Board, EEPROM_BYTES, type EepromStore } from '../../hardware/emulator/index.ts';
import { program, Talk } from './emulator-fixtures/talk.ts';

// Register facts: Microchip ATmega328P datasheet DS40002061. MCUSR: 1 power on, 2 external, 4 brown-out, 8 watchdog.
const CLEAN = [0, 0, 0, 0, 0];
const registersAtStart = (talk: Talk): { cause: number; others: number[]; watchdog: number } => {
  const [cause = -1, ddr = -1, port = -1, timers = -1, masks = -1, uart = -1, watchdog = -1, ...rest] =
    talk.say('S');
  return { cause, others: [ddr, port, timers, masks, uart, ...rest], watchdog };
};

describe('serial port', () => {
  it('sends and receives at the pace of the line: 10 bits at 57600 baud a byte', () => {
    const talk = new Talk();
    const begunMs = talk.board.nowMs;
    const at: number[] = [];
    talk.board.link.onByte(() => at.push(talk.board.nowMs - begunMs));
    talk.say('aaaaaaaaaaaaaaaaaaaa', 10);
    expect(talk.heard).toEqual(new Array(20).fill(0x62));
    // Divisor 16 makes 58824 baud (datasheet table of UBRR settings), 0.17 ms a byte; the host sends at 57600.
    expect(at[19]! - at[0]!).toBeGreaterThan(19 * 0.1735);
    expect(at[19]! - at[0]!).toBeLessThan(19 * 0.1745);
  });

  it('keeps two bytes and one in the shift register of a program that is slow, and flags the overrun', () => {
    const talk = new Talk();
    const [overrun, count, ...bytes] = talk.say('U12345', 30);
    expect([overrun, count]).toEqual([0x08, 3]);
    expect(bytes).toEqual([...Buffer.from('125')]);
    expect(talk.board.chip.core.uart.overruns).toBe(2);
  });

  it('garbles what a host at another rate sends, as a real line does', () => {
    const talk = new Talk({ baud: 115_200 });
    expect(talk.say('aaa')).not.toContain(0x62);
  });
});

describe('resets', () => {
  it('starts after power-on with clear registers and the power-on flag alone', () => {
    const { cause, others, watchdog } = registersAtStart(new Talk());
    expect(cause).toBe(1);
    expect(others.slice(0, 5)).toEqual(CLEAN);
    expect(watchdog).toBe(0);
  });

  it('drops both switch pins in the very cycle a program hangs long enough for its watchdog, and says why', () => {
    const talk = new Talk();
    talk.say('DH');
    expect(talk.board.heaterClosed).toBe(true);
    const hungMs = talk.board.nowMs;
    talk.say('h', 400);
    // 250 ms nominal at 128 kHz; the prescaler of 32 K cycles makes 256 ms.
    const opened = talk.board.switches.state.circuit.at(-1)!;
    expect(opened.closed).toBe(false);
    expect(opened.atCycles / 16_000 - hungMs).toBeGreaterThan(255);
    expect(opened.atCycles / 16_000 - hungMs).toBeLessThan(258);
    expect(talk.board.resets).toMatchObject({ powerOn: 1, watchdog: 1 });
    const { cause, others, watchdog } = registersAtStart(talk);
    expect(cause).toBe(8);
    expect(others.slice(0, 5)).toEqual(CLEAN);
    // After a watchdog reset it is on at its shortest until WDRF is cleared (datasheet, "Watchdog System Reset").
    expect(watchdog & 0x2f).toBe(0x08);
  });

  it.each([
    ['external', 2, (talk: Talk) => talk.board.faults.pressReset()],
    ['brown-out', 4, (talk: Talk) => talk.board.faults.brownOut()],
  ] as const)('adds the flag of a reset that is %s and keeps what stood in RAM', (_name, flag, reset) => {
    const talk = new Talk();
    talk.say('KwxyzDH');
    reset(talk);
    expect(talk.board.heaterClosed).toBe(false);
    talk.board.advance(100);
    expect(Buffer.from(talk.say('k')).toString()).toBe('wxyz');
    const { cause, others } = registersAtStart(talk);
    expect(cause).toBe(flag);
    expect(others.slice(0, 5)).toEqual(CLEAN);
  });

  it('forgets RAM but not EEPROM when power was away', () => {
    const talk = new Talk();
    talk.say('KwxyzE\u0005Q');
    talk.board.faults.cutPower();
    talk.board.advance(1000);
    talk.board.faults.restorePower();
    talk.board.advance(100);
    expect(Buffer.from(talk.say('k')).toString()).not.toBe('wxyz');
    expect(talk.say('e\u0005')).toEqual([0x51]);
  });

  it('runs no instruction and holds no pin during the start-up time', () => {
    const board = new Board({ hex: program('exerciser'), startUpMs: 65 });
    const heard: number[] = [];
    board.link.onByte((byte) => heard.push(board.nowMs, byte));
    board.advance(100);
    expect(heard[1]).toBe(0x21);
    expect(heard[0]).toBeGreaterThan(65);
    expect(heard[0]).toBeLessThan(66);
  });
});

describe('watchdog', () => {
  it('fires however the processor is frozen: executing nothing, its main loop stuck, its crystal stopped', () => {
    for (const kind of ['core', 'loop', 'clock'] as const) {
      const talk = new Talk();
      talk.say('HW', 30);
      talk.board.faults.freezeProcessor(kind);
      talk.board.advance(215);
      expect(talk.board.heaterClosed).toBe(true);
      talk.board.advance(60);
      expect(talk.board.heaterClosed).toBe(false);
      expect(talk.board.resets.watchdog).toBe(1);
    }
  });

  it('follows its own oscillator, which is not that of the processor', () => {
    const talk = new Talk({ watchdogHz: 100_000 });
    talk.say('W', 300);
    expect(talk.board.resets.watchdog).toBe(0);
    talk.board.advance(40);
    expect(talk.board.resets.watchdog).toBe(1);
  });

  it('lets a stuck main loop go on serving interrupts', () => {
    const talk = new Talk();
    const before = talk.say('T');
    talk.board.faults.freezeProcessor('loop');
    expect(talk.say('T', 100)).toEqual([]);
    talk.board.faults.thawProcessor();
    talk.board.advance(20);
    const ticks = (bytes: number[]): number => bytes[0]! + bytes[1]! * 256;
    expect(ticks(talk.heard) - ticks(before)).toBeGreaterThanOrEqual(118);
  });

  it('interrupts first and resets at the second time-out when the program asked for both', () => {
    const talk = new Talk();
    expect(talk.say('i', 300)).toEqual([0x77]);
    expect(talk.board.resets.watchdog).toBe(0);
    talk.board.advance(300);
    expect(talk.board.resets.watchdog).toBe(1);
  });

  it('cannot be switched off where the fuse says always on', () => {
    const talk = new Talk({ watchdogAlwaysOn: true });
    talk.board.advance(1000);
    expect(talk.board.resets.watchdog).toBeGreaterThan(3);
  });
});

describe('EEPROM', () => {
  it('is saved to the injected store byte by byte, and a new board starts from it', () => {
    let saved: Uint8Array | undefined;
    const eeprom: EepromStore = {
      load: () => saved,
      save: (cells) => {
        saved = Uint8Array.from(cells);
      },
    };
    new Talk({ eeprom }).say('E\u0007Z');
    expect(saved?.[7]).toBe(0x5a);
    expect(new Talk({ eeprom }).say('e\u0007')).toEqual([0x5a]);
  });

  it('takes 3.4 ms a byte, counts wear, and leaves a byte torn when power goes in between', () => {
    const talk = new Talk();
    talk.say('E\u0003\u0011');
    const { cells } = talk.board.chip;
    expect([cells.bytes[3], cells.wear[3]]).toEqual([0x11, 1]);
    talk.say('E\u0003\u0022', 1.2);
    talk.board.faults.cutPower();
    expect([cells.bytes[3], cells.wear[3]]).toEqual([0xff, 2]);
  });

  it('finishes a byte when the reset came without loss of power', () => {
    const talk = new Talk();
    talk.say('E\u0003\u0022', 1.2);
    talk.board.faults.pressReset();
    expect(talk.board.chip.cells.bytes[3]).toBe(0x22);
  });

  it('refuses a store of the wrong size, saying what to do', () => {
    const eeprom: EepromStore = { load: () => new Uint8Array(EEPROM_BYTES - 1), save: () => undefined };
    expect(() => new Talk({ eeprom })).toThrow(/1023 bytes.*Delete it/);
  });
});

describe('the rest of the chip', () => {
  it('keeps the 1 kHz timer exact through sleep', () => {
    const talk = new Talk();
    const first = talk.say('T', 1000);
    const second = talk.say('T', 1000);
    expect(second[0]! + second[1]! * 256 - first[0]! - first[1]! * 256).toBe(1000);
  });

  it('reads analog inputs within a count of what the world puts there', () => {
    const talk = new Talk({ analog: (channel) => channel / 8 });
    const [low = 0, high = 0] = talk.say('A\u0003');
    expect(Math.abs(low + 256 * high - 384)).toBeLessThanOrEqual(1);
  });

  it('lets a program read its own pins, inputs, and a switch pin tied to the supply', () => {
    const talk = new Talk();
    const bit4 = (bytes: number[]): boolean => (bytes[0]! & 0x10) !== 0;
    expect(bit4(talk.say('P'))).toBe(false);
    talk.board.waterPresent = false;
    expect(bit4(talk.say('P'))).toBe(true);
    talk.say('HL');
    expect(talk.say('P')[0]! & 0x80).toBe(0);
    talk.board.faults.tieSwitchPin('regulating');
    expect(talk.say('P')[0]! & 0x80).toBe(0x80);
    expect(talk.board.heaterClosed).toBe(true);
  });

  it('reports the pitch of the sounder and when it ended', () => {
    const talk = new Talk();
    talk.say('D', 200);
    expect(talk.board.sounding).toBe(true);
    talk.board.faults.pressReset();
    talk.board.advance(50);
    expect(talk.board.sounding).toBe(false);
    const beep = talk.board.sounder.beeps(talk.board.chip.cycles).at(-1)!;
    // Compare value 2758 at 16 MHz toggles at 16e6 / 2 / 2759 = 2899.6 Hz (datasheet, CTC mode).
    expect(Math.abs(beep.hz - 2899.6)).toBeLessThan(12);
  });
});

describe('switches', () => {
  it('keep every edge of both pins with its cycle', () => {
    const talk = new Talk();
    talk.say('HLH');
    const { edges, circuit } = talk.board.switches.drain();
    expect(edges.map((edge) => [edge.switch, edge.high])).toEqual([
      ['regulating', true],
      ['guard', true],
      ['regulating', false],
      ['regulating', true],
    ]);
    expect(circuit.map(({ closed }) => closed)).toEqual([true, false, true]);
    expect(edges[1]!.atCycles - edges[0]!.atCycles).toBeGreaterThan(0);
    expect(talk.board.switches.state.edges).toEqual([]);
  });

  it('stay closed when welded, but the circuit needs both', () => {
    const talk = new Talk();
    talk.board.faults.weldSwitch('regulating');
    expect(talk.board.heaterClosed).toBe(false);
    talk.say('HL');
    expect(talk.board.heaterClosed).toBe(true);
    const closedMs = talk.board.heaterClosedMs;
    talk.board.advance(100);
    expect(talk.board.heaterClosedMs - closedMs).toBeCloseTo(100, 1);
    talk.board.faults.freeSwitch('regulating');
    expect(talk.board.heaterClosed).toBe(false);
  });
});

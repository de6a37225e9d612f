import { describe, expect, it } from 'vitest';
import { EEPROM_BYTES, type EepromStore } from '../../hardware/emulator/index.ts';
import { FirmwareRig, rom, romName } from './firmware-rig.ts';
import { BLOCK, CAUSE, CODE, type LimitsFields, make } from './firmware-wire.ts';

/** Bits of resetCause: PROTOCOL.md, section 6. */
const RESET = { powerOn: 1, external: 2, brownOut: 4, watchdog: 8 };

function tripped(trip: (rig: FirmwareRig) => void, limits: Partial<LimitsFields> = {}): FirmwareRig {
  const rig = new FirmwareRig();
  rig.connect(limits);
  rig.heat(2);
  trip(rig);
  rig.heat(5);
  expect(rig.status.latchedCause).not.toBe(CAUSE.none);
  return rig;
}

const byHost = (rig: FirmwareRig): void => rig.send(make.trip(0x4321));

function powerCycle(rig: FirmwareRig, offMs = 500): void {
  rig.board.faults.cutPower();
  rig.advance(offMs);
  rig.board.faults.restorePower();
}

describe('the latch', () => {
  it.each([
    ['a watchdog reset', RESET.watchdog, (rig: FirmwareRig) => rig.board.faults.freezeProcessor()],
    ['a brown-out', RESET.brownOut, (rig: FirmwareRig) => rig.board.faults.brownOut()],
    ['an external reset', RESET.external, (rig: FirmwareRig) => rig.board.faults.pressReset()],
    ['a power cycle', RESET.powerOn, (rig: FirmwareRig) => powerCycle(rig)],
    [
      'a pulled USB plug that is its supply',
      RESET.powerOn,
      (rig: FirmwareRig) => {
        rig.board.faults.pullUsb();
        rig.board.faults.cutPower();
        rig.advance(1000);
        rig.board.faults.plugUsb();
      },
    ],
  ])('survives %s with its first cause, and the status tells that reset', (_, cause, happens) => {
    const rig = tripped(byHost);
    const boots = rig.status.bootCount;
    happens(rig);
    rig.statuses = [];
    rig.connect();
    expect(rig.status).toMatchObject({
      latchedCause: CAUSE.host,
      latchedDetail: 0x4321,
      bootCount: boots + 1,
    });
    expect(rig.status.resetCause & cause).toBe(cause);
    expect(rig.lease()).toMatchObject({ code: CODE.latched, detail: CAUSE.host });
    expect(rig.board.heaterClosed).toBe(false);
  });

  it('is not lost by a reset at any moment after the trip', () => {
    for (let afterMs = 0; afterMs <= 12; afterMs += 1) {
      const rig = new FirmwareRig();
      rig.connect();
      rig.send(make.trip(99));
      rig.advance(9 * 0.175 + 5 + afterMs * 3);
      rig.board.faults.pressReset();
      rig.statuses = [];
      rig.advance(800);
      expect(rig.status).toMatchObject({ latchedCause: CAUSE.host, latchedDetail: 99 });
    }
  });

  it('is not lost by a power cut while it is being written: torn is latched too', () => {
    const causes = new Set<number>();
    for (let afterMs = 0; afterMs < 40; afterMs += 4) {
      const rig = new FirmwareRig();
      rig.connect();
      rig.send(make.trip(99));
      rig.advance(9 * 0.175 + 9 + afterMs);
      powerCycle(rig);
      rig.statuses = [];
      rig.advance(800);
      causes.add(rig.status.latchedCause);
    }
    expect(causes.has(CAUSE.none)).toBe(false);
    expect(causes.has(CAUSE.host)).toBe(true);
  });

  it('lives in EEPROM alone: a board that gets another chip’s memory gets its latch', () => {
    const cells = new Uint8Array(EEPROM_BYTES).fill(0xff);
    const store: EepromStore = {
      load: () => cells,
      save: (saved) => cells.set(saved),
    };
    const first = new FirmwareRig({ eeprom: store });
    first.connect();
    first.send(make.trip(5));
    first.advance(500);
    const second = new FirmwareRig({ eeprom: store });
    second.advance(1000);
    expect(second.status).toMatchObject({ latchedCause: CAUSE.host, latchedDetail: 5 });
  });
});

describe('a clear', () => {
  it('releases the latch when the condition is gone, durably, and heat may follow', () => {
    const rig = tripped(byHost);
    expect(rig.clear()).toMatchObject({ code: CODE.ok });
    rig.advance(300);
    expect(rig.status).toMatchObject({ latchedCause: CAUSE.none, blocks: 0 });
    powerCycle(rig);
    rig.statuses = [];
    rig.connect();
    expect(rig.status.latchedCause).toBe(CAUSE.none);
    expect(rig.lease().code).toBe(CODE.ok);
  });

  it.each([
    [
      'over-temperature',
      BLOCK.overTemperature,
      (rig: FirmwareRig) => {
        rig.celsius = 75;
      },
      (rig: FirmwareRig) => {
        rig.celsius = 60;
      },
    ],
    [
      'a silent probe',
      BLOCK.probeStale,
      (rig: FirmwareRig) => rig.board.faults.unplugProbe(romName(rom(1))),
      (rig: FirmwareRig) => rig.board.faults.plugProbe(romName(rom(1))),
    ],
    [
      'a probe that fails its CRC',
      BLOCK.probeStale,
      (rig: FirmwareRig) => rig.board.faults.flipBits(0.3),
      (rig: FirmwareRig) => rig.board.faults.flipBits(0),
    ],
    [
      'low water',
      BLOCK.levelLow,
      (rig: FirmwareRig) => {
        rig.board.waterPresent = false;
      },
      (rig: FirmwareRig) => {
        rig.board.waterPresent = true;
      },
    ],
  ])('is refused while %s lasts, and taken once it has gone', (_, block, begins, ends) => {
    const rig = tripped(begins, { maxRaw: 70 * 16 });
    const cause = rig.status.latchedCause;
    for (let round = 0; round < 3; round++) {
      const answer = rig.clear();
      expect(answer.code).toBe(CODE.condition);
      expect(answer.detail & block).toBe(block);
      expect(rig.status.latchedCause).toBe(cause);
    }
    ends(rig);
    rig.heat(4);
    expect(rig.clear().code).toBe(CODE.ok);
  });

  it('of the longest heat is refused until heat has been off for 10 s, and of damaged leases until one has been forgotten', () => {
    const tooLong = tripped((rig) => rig.heat(9), { maxHeatS: 10 });
    const offS = 6;
    expect(tooLong.status).toMatchObject({ latchedCause: CAUSE.heatTooLong, latchedDetail: 10 });
    const damaged = tripped((rig) => {
      for (let i = 0; i < 5; i++) {
        const bytes = make.lease({ nonce: rig.status.nonce, session: rig.session });
        bytes[5]! ^= 1;
        rig.send(bytes);
      }
    });
    expect(damaged.latched('linkCorrupt')).toBe(true);
    for (const [rig, detail] of [
      [tooLong, BLOCK.heatTooLong],
      [damaged, BLOCK.linkCorrupt],
    ] as const) {
      expect(rig.clear()).toMatchObject({ code: CODE.condition, detail });
      // The host keeps its connection meanwhile.
      for (let second = 0; second < offS; second++) {
        rig.readBack();
        rig.advance(960);
      }
      expect(rig.clear().code).toBe(CODE.ok);
    }
  });

  it('of over-temperature is refused until 2 degC below the reading that tripped, also under looser limits', () => {
    const rig = tripped(
      (each) => {
        each.celsius = 75;
      },
      { maxRaw: 70 * 16 },
    );
    rig.connect({ maxRaw: 95 * 16 });
    expect(rig.clear()).toMatchObject({ code: CODE.condition, detail: BLOCK.overTemperature });
    rig.celsius = 72.5;
    rig.advance(2200);
    expect(rig.clear().code).toBe(CODE.ok);
  });

  it('is refused without limits read back in this connection', () => {
    const rig = tripped(byHost);
    rig.board.faults.pressReset();
    rig.statuses = [];
    rig.advance(2500);
    expect(rig.clear().code).toBe(CODE.noSession);
    expect(rig.status.latchedCause).toBe(CAUSE.host);
  });

  it('must name the cause that is latched, so that a person clears what the person saw', () => {
    const rig = tripped(byHost);
    expect(rig.clear(CAUSE.levelLow)).toMatchObject({ code: CODE.wrongCause, detail: CAUSE.host });
    expect(rig.clear(CAUSE.none)).toMatchObject({ code: CODE.wrongCause });
  });

  it('with nothing latched is refused', () => {
    const rig = new FirmwareRig();
    rig.connect();
    expect(rig.clear(CAUSE.host).code).toBe(CODE.notLatched);
  });

  it('from a stalled cable, released later, clears nothing', () => {
    const rig = tripped(byHost);
    rig.advance(300);
    const { nonce } = rig.status;
    rig.board.faults.stallUsb();
    rig.send(make.clear({ nonce, session: rig.session, cause: CAUSE.host }));
    rig.advance(1000);
    rig.board.faults.releaseUsb();
    rig.advance(1000);
    expect(rig.status.latchedCause).toBe(CAUSE.host);
  });

  it('cut off by a power failure leaves the latch as it was', () => {
    for (let afterMs = 0; afterMs <= 20; afterMs += 5) {
      const rig = tripped(byHost);
      rig.advance(260);
      rig.send(make.clear({ nonce: rig.status.nonce, session: rig.session, cause: CAUSE.host }));
      rig.advance(15 * 0.175 + 8 + afterMs);
      powerCycle(rig);
      rig.statuses = [];
      rig.advance(1000);
      expect(rig.status.latchedCause).toBe(CAUSE.host);
    }
  });
});

describe('a reset', () => {
  it('under fuse WDTON, which starts the watchdog at 16 ms, is survived: the period is set in time', () => {
    const rig = new FirmwareRig({ watchdogAlwaysOn: true });
    rig.connect();
    rig.heat(3);
    expect(rig.board.heaterClosed).toBe(true);
    expect(rig.board.resets.watchdog).toBe(0);
  });

  it('that finds a bootloader has taken its cause learns it from register 2, and says so', () => {
    const rig = new FirmwareRig();
    rig.advance(500);
    expect(rig.status.resetCause).toBe(RESET.powerOn);
    rig.board.faults.pressReset();
    // What a bootloader leaves behind: MCUSR (0x54) cleared, its content in r2.
    const { data } = rig.board.chip.core.cpu;
    data[0x54] = 0;
    data[2] = RESET.external;
    rig.advance(500);
    expect(rig.status.resetCause).toBe(0x80 | RESET.external);
  });

  it('in the middle of heat has both switches open until limits are set anew', () => {
    for (const happens of [
      (rig: FirmwareRig) => rig.board.faults.brownOut(),
      (rig: FirmwareRig) => rig.board.faults.pressReset(),
      (rig: FirmwareRig) => rig.board.faults.freezeProcessor(),
    ]) {
      const rig = new FirmwareRig();
      rig.connect();
      rig.heat(3);
      happens(rig);
      expect(rig.msUntilOpen(600)).toBeLessThan(600);
      rig.heat(5);
      expect(rig.board.heaterClosed).toBe(false);
      expect(rig.status.blocks & BLOCK.noSession).toBeTruthy();
    }
  });
});

import { describe, expect, it } from 'vitest';
import { CYCLES_PER_MS } from '../../hardware/emulator/index.ts';
import { FirmwareRig, image, rom } from './firmware-rig.ts';
import { type Answer, BLOCK, CAUSE, CODE, crc16, limitsBytes, make } from './firmware-wire.ts';

const connected = (): FirmwareRig => {
  const rig = new FirmwareRig();
  rig.connect();
  rig.board.switches.drain();
  return rig;
};

const edges = (rig: FirmwareRig): string[] =>
  rig.board.switches.drain().edges.map((edge) => `${edge.switch} ${edge.high ? 'closes' : 'opens'}`);

describe('before heat is allowed', () => {
  it('refuses a lease until limits were set and read back in this connection', () => {
    const rig = new FirmwareRig();
    rig.advance(2500);
    expect(rig.status.blocks & BLOCK.noSession).toBeTruthy();
    expect(rig.lease().code).toBe(CODE.noSession);
    expect(rig.ask((tag) => make.limits({ rom: rom(1), tag })).code).toBe(CODE.ok);
    rig.advance(1300);
    expect(rig.lease({ session: 0 }).code).toBe(CODE.noSession);
    rig.readBack();
    rig.advance(300);
    expect(rig.status.blocks).toBe(0);
    expect(rig.lease().code).toBe(CODE.ok);
  });

  it('reads back exactly the limits that were set, with the CRC that every status repeats', () => {
    const rig = new FirmwareRig();
    const limits = { rom: rom(1), maxRaw: 1234, maxHeatS: 4321, silenceMs: 2718 };
    rig.connect(limits);
    const { rom: heard, maxRaw, maxHeatS, silenceMs, limitsCrc } = rig.readBack();
    expect({ rom: heard, maxRaw, maxHeatS, silenceMs }).toEqual(limits);
    expect(limitsCrc).toBe(crc16(limitsBytes(limits)));
    expect(rig.status.limitsCrc).toBe(limitsCrc);
  });

  it.each([
    ['a maximum above the ceiling of 95 degC', { maxRaw: 1521 }, CODE.outsideCeiling, 1],
    ['a maximum below 30 degC', { maxRaw: 479 }, CODE.outsideCeiling, 1],
    ['a negative maximum', { maxRaw: -1 }, CODE.outsideCeiling, 1],
    ['more than six hours of heat', { maxHeatS: 21_601 }, CODE.outsideCeiling, 2],
    ['less than ten seconds of heat', { maxHeatS: 9 }, CODE.outsideCeiling, 2],
    ['a silence longer than 3.5 s', { silenceMs: 3501 }, CODE.outsideCeiling, 4],
    ['a silence that one bad read would exceed', { silenceMs: 2499 }, CODE.outsideCeiling, 4],
    ['everything outside at once', { maxRaw: 9999, maxHeatS: 0, silenceMs: 60_000 }, CODE.outsideCeiling, 7],
    ['a probe of another family', { rom: rom(1, 0x10) }, CODE.badRom, 0],
    ['a ROM code with a wrong CRC', { rom: [...rom(1).slice(0, 7), 0] }, CODE.badRom, 0],
  ])('refuses %s, and ends the session that was', (_, wrong, code, detail) => {
    const rig = connected();
    const answer = rig.ask((tag) => make.limits({ rom: rom(1), ...wrong, tag }));
    expect(answer).toMatchObject({ code, detail });
    expect(rig.lease().code).toBe(CODE.noSession);
    expect(rig.readBack().session).toBe(0);
  });

  it.each([
    ['the loosest', { maxRaw: 1520, maxHeatS: 21_600, silenceMs: 3500 }],
    ['the tightest', { maxRaw: 480, maxHeatS: 10, silenceMs: 2500 }],
  ])('takes %s limits the ceilings allow', (_, limits) => {
    const rig = new FirmwareRig();
    rig.advance(2500);
    expect(rig.ask((tag) => make.limits({ rom: rom(1), ...limits, tag })).code).toBe(CODE.ok);
  });

  it.each([
    ['10 s without a message', (rig: FirmwareRig) => rig.advance(10_200)],
    ['a Firmata system reset', (rig: FirmwareRig) => rig.send([0xff])],
    ['a reset of the board', (rig: FirmwareRig) => rig.board.faults.pressReset()],
  ])('asks for limits again after %s', (_, happens) => {
    const rig = connected();
    happens(rig);
    rig.advance(1500);
    expect(rig.status.blocks & BLOCK.noSession).toBeTruthy();
    expect(rig.lease().code).toBe(CODE.noSession);
  });
});

describe('a nonce', () => {
  it('is good for one lease and no second', () => {
    const rig = connected();
    const { nonce } = rig.status;
    expect(rig.lease({ nonce }).code).toBe(CODE.ok);
    const before = rig.status.refusedCount;
    expect(rig.lease({ nonce }).code).toBe(CODE.nonceSpent);
    rig.advance(300);
    expect(rig.status).toMatchObject({ refusedCount: before + 1, lastRefusal: CODE.nonceSpent });
  });

  it('is spent by a refused lease, and by any lease on a later one', () => {
    const rig = connected();
    const { nonce } = rig.status;
    expect(rig.lease({ nonce, durationMs: 0 }).code).toBe(CODE.badDuration);
    expect(rig.lease({ nonce }).code).toBe(CODE.nonceSpent);
    rig.advance(600);
    const [earlier, later] = rig.statuses.slice(-2);
    expect(rig.lease({ nonce: later!.nonce }).code).toBe(CODE.ok);
    expect(rig.lease({ nonce: earlier!.nonce }).code).toBe(CODE.nonceSpent);
  });

  it('is unknown when it was never issued, or was issued before a reset', () => {
    const rig = connected();
    const { nonce } = rig.status;
    expect(rig.lease({ nonce: (nonce ^ 1) >>> 0 }).code).toBe(CODE.nonceUnknown);
    rig.board.faults.pressReset();
    rig.advance(200);
    expect(rig.lease({ nonce }).code).toBe(CODE.nonceUnknown);
  });

  it('is refused once older than 700 ms', () => {
    const rig = connected();
    // 17 characters of a lease take 3 ms on the line; the loop may need 5 ms more.
    const leaseWhenAged = (ageMs: number): Answer => {
      rig.advance(1000);
      const { nonce, uptimeMs } = rig.status;
      rig.advance(rig.tickZeroMs + uptimeMs + ageMs - 3 - rig.nowMs);
      return rig.lease({ nonce });
    };
    expect(leaseWhenAged(694).code).toBe(CODE.ok);
    const late = leaseWhenAged(702);
    expect(late.code).toBe(CODE.nonceStale);
    expect(late.detail).toBeGreaterThan(700);
    expect(late.detail).toBeLessThan(708);
  });

  it('is new in every status, across resets too', () => {
    const rig = connected();
    for (let reset = 0; reset < 5; reset++) {
      rig.board.faults.pressReset();
      rig.advance(1500);
    }
    const nonces = rig.statuses.map((status) => status.nonce);
    expect(nonces.length).toBeGreaterThan(30);
    expect(new Set(nonces).size).toBe(nonces.length);
  });
});

describe('a lease', () => {
  it.each([
    [{ durationMs: 0 }, CODE.badDuration],
    [{ durationMs: 2001 }, CODE.badDuration],
    [{ durationMs: 65_535 }, CODE.badDuration],
    [{ switches: 0 }, CODE.badSwitches],
    [{ switches: 4 }, CODE.badSwitches],
    [{ switches: 0x83 }, CODE.badSwitches],
    [{ session: 0 }, CODE.noSession],
  ])('of %o is refused and moves nothing', (fields, code) => {
    const rig = connected();
    expect(rig.lease(fields).code).toBe(code);
    rig.advance(2500);
    expect(edges(rig)).toEqual([]);
  });

  it('with any one bit flipped on the line moves nothing', () => {
    const rig = connected();
    for (let bit = 0; bit < 17 * 8; bit++) {
      rig.advance(260);
      const bytes = make.lease({ nonce: rig.status.nonce, session: rig.session });
      bytes[bit >> 3]! ^= 1 << (bit & 7);
      rig.send(bytes);
      // Nothing must be left half heard for the next round.
      rig.send([0xf7]);
      if (bit % 30 === 0) rig.send(make.limitsQuery());
      // One flip in F7 or F0 makes FF: the connection ends, and is made anew.
      if (rig.readBack().session === 0) rig.connect();
    }
    rig.advance(2500);
    expect(edges(rig)).toEqual([]);
  });

  it('closes guard first and opens it last, and is over at the stated moment by the clock of its nonce', () => {
    const rig = connected();
    expect(rig.lease({ durationMs: 1600 }).code).toBe(CODE.ok);
    rig.advance(2500);
    const { edges: seen } = rig.board.switches.drain();
    expect(seen.map((edge) => [edge.switch, edge.high])).toEqual([
      ['guard', true],
      ['regulating', true],
      ['regulating', false],
      ['guard', false],
    ]);
    const [guardOn, on, off, guardOff] = seen.map((edge) => edge.atCycles / CYCLES_PER_MS);
    expect(on! - guardOn!).toBeCloseTo(100, 1);
    expect(guardOff! - off!).toBeCloseTo(100, 1);
  });

  it.each([1600, 1900, 1950, 2000])(
    'of %d ms has both switches open 2 s after its nonce at the latest',
    (durationMs) => {
      const rig = connected();
      rig.advance(251);
      const issued = rig.status.uptimeMs;
      rig.lease({ durationMs });
      rig.advance(2500);
      const { edges: seen } = rig.board.switches.drain();
      const at = (name: string, high: boolean): number =>
        seen.find((edge) => edge.switch === name && edge.high === high)!.atCycles / CYCLES_PER_MS;
      const issuedMs = rig.tickZeroMs + issued;
      for (const [name, dueMs] of [
        ['regulating', durationMs],
        ['guard', Math.min(durationMs + 100, 2000)],
      ] as const) {
        expect(at(name, false) - issuedMs).toBeLessThan(dueMs + 0.1);
        expect(at(name, false) - issuedMs).toBeGreaterThan(dueMs - 1.5);
      }
    },
  );

  it('renewed each second keeps the circuit closed without a break', () => {
    const rig = connected();
    rig.heat(20);
    rig.advance(2500);
    expect(edges(rig)).toEqual(['guard closes', 'regulating closes', 'regulating opens', 'guard opens']);
  });

  it('of stand-by holds the guard through a pulse, so that a contactor need not move with each', () => {
    const rig = connected();
    rig.heat(2);
    rig.heat(3, { switches: 2 });
    rig.heat(2);
    rig.advance(2500);
    expect(edges(rig)).toEqual([
      'guard closes',
      'regulating closes',
      'regulating opens',
      'regulating closes',
      'regulating opens',
      'guard opens',
    ]);
  });

  it('moves each switch alone for commissioning, and never closes both on the way', () => {
    const rig = connected();
    rig.heat(2, { switches: 1 });
    rig.heat(2, { switches: 2 });
    rig.heat(2, { switches: 1 });
    rig.advance(2500);
    const { edges: seen, circuit } = rig.board.switches.drain();
    expect(circuit).toEqual([]);
    expect(seen.map((edge) => `${edge.switch} ${edge.high}`)).toEqual([
      'regulating true',
      'regulating false',
      'guard true',
      'guard false',
      'regulating true',
      'regulating false',
    ]);
  });

  it('ends at once by release, regulating first', () => {
    const rig = connected();
    rig.heat(1);
    rig.advance(300);
    rig.send(make.lease({ nonce: rig.status.nonce, session: rig.session }));
    rig.advance(300);
    edges(rig);
    const start = rig.nowMs;
    rig.send(make.release());
    rig.advance(300);
    const { edges: seen } = rig.board.switches.drain();
    expect(seen.map((edge) => edge.switch)).toEqual(['regulating', 'guard']);
    expect(seen[0]!.atCycles / CYCLES_PER_MS - start).toBeLessThan(10);
  });
});

describe('leases from a stalled cable', () => {
  it('switch nothing when they are released later, however many', () => {
    const rig = connected();
    rig.heat(2);
    // Three nonces the host has heard and not used yet: the freshest it can queue.
    rig.advance(700);
    const fresh = rig.statuses.slice(-3);
    rig.board.faults.stallUsb();
    rig.answers = [];
    const stalledAt = rig.nowMs;
    for (let round = 0; round < 10; round++) {
      for (const { nonce } of fresh) rig.send(make.lease({ nonce, session: rig.session }));
      rig.advance(300);
    }
    const { circuit } = rig.board.switches.drain();
    const open = circuit.filter((edge) => !edge.closed).at(-1)!;
    expect(open.atCycles / CYCLES_PER_MS - stalledAt).toBeLessThan(2000);
    expect(rig.board.heaterClosed).toBe(false);
    rig.board.faults.releaseUsb();
    rig.advance(5000);
    expect(edges(rig)).toEqual([]);
    expect(rig.answers.filter((answer) => answer.id === 8 && answer.code === CODE.ok)).toEqual([]);
    expect(rig.status.refusedCount).toBeGreaterThanOrEqual(30);
  });

  it('are honoured when the stall was shorter than a nonce lives: the test above could fail', () => {
    const rig = connected();
    rig.advance(260);
    rig.board.faults.stallUsb();
    rig.send(make.lease({ nonce: rig.status.nonce, session: rig.session }));
    rig.advance(200);
    rig.board.faults.releaseUsb();
    rig.advance(400);
    expect(rig.board.heaterClosed).toBe(true);
  });
});

describe('what cannot move a switch', () => {
  it('is any plain Firmata message: modes, port writes, pin writes, analog writes', () => {
    const rig = connected();
    for (let mode = 0; mode < 128; mode++) rig.send([7, 8].flatMap((pin) => [0xf4, pin, mode]));
    for (let port = 0; port < 16; port++) rig.send([0x90 | port, 0x7f, 0x7f]);
    for (let pin = 0; pin < 128; pin++) rig.send([0xf4, pin, 1, 0xf5, pin, 1]);
    for (let pin = 0; pin < 16; pin++) rig.send([0xe0 | pin, 0x7f, 0x7f]);
    for (const pin of [7, 8]) rig.send([0xf0, 0x6f, pin, 0x7f, 0x7f, 0xf7]);
    rig.advance(1500);
    expect(edges(rig)).toEqual([]);
    expect([rig.board.pin(7), rig.board.pin(8)]).toEqual(['low', 'low']);
    expect(rig.board.pin(3)).toBe('high'); // a free pin did move: the messages were heard
    expect([rig.board.pin(4), rig.board.pin(2)]).toEqual(['pull-up', 'input']);
  });

  it('is a flood of bytes at line rate: it neither closes a switch nor stretches a lease', () => {
    const rig = connected();
    rig.advance(260);
    const { uptimeMs } = rig.status;
    rig.lease();
    const flood = Array.from({ length: 20_000 }, (_, i) => (i % 50 === 0 ? 0xf0 : (i * 7) & 0x7f));
    rig.send(flood);
    rig.advance(3400);
    const { edges: seen } = rig.board.switches.drain();
    expect(seen.map((edge) => edge.switch)).toEqual(['guard', 'regulating', 'regulating', 'guard']);
    expect(rig.board.resets.watchdog).toBe(0);
    const openedMs = seen[2]!.atCycles / CYCLES_PER_MS - rig.tickZeroMs - uptimeMs;
    expect(openedMs).toBeLessThan(1600.1);
    expect(openedMs).toBeGreaterThan(1598.5);
  });

  it.each(['core', 'loop', 'clock'] as const)('is a processor frozen (%s): open within 0.6 s', (kind) => {
    const rig = connected();
    rig.heat(3);
    rig.send(make.lease({ nonce: rig.status.nonce, session: rig.session, durationMs: 2000 }));
    rig.advance(50);
    expect(rig.board.heaterClosed).toBe(true);
    rig.board.faults.freezeProcessor(kind);
    expect(rig.msUntilOpen(700, false)).toBeLessThan(600);
    rig.advance(2000);
    expect(rig.board.resets.watchdog).toBeGreaterThan(0);
  });
});

describe('the board with one switch', () => {
  it('says that it is for attended use only, refuses the guard and never moves its pin', () => {
    const rig = new FirmwareRig({ hex: image('one-switch'), guardFitted: false });
    rig.connect();
    expect(rig.status.variant).toBe(2);
    expect(rig.lease({ switches: 3 }).code).toBe(CODE.badSwitches);
    rig.advance(260);
    expect(rig.lease({ switches: 1 }).code).toBe(CODE.ok);
    rig.advance(2500);
    expect(edges(rig)).toEqual(['regulating closes', 'regulating opens']);
  });

  it('counts its heat and cuts by itself as the other does', () => {
    const rig = new FirmwareRig({ hex: image('one-switch'), guardFitted: false });
    rig.connect({ maxHeatS: 10 });
    rig.heat(12, { switches: 1 });
    expect(rig.status.latchedCause).toBe(CAUSE.heatTooLong);
    expect(rig.board.heaterClosed).toBe(false);
    rig.board.faults.pressReset();
    rig.statuses = [];
    rig.connect();
    expect(rig.lease({ switches: 1 }).code).toBe(CODE.latched);
  });

  it('is told from the board with two, which has a guard fitted', () => {
    expect(connected().status.variant).toBe(1);
  });
});

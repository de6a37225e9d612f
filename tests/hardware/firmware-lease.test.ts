import { describe, expect, it } from 'vitest';
import { CYCLES_PER_MS } from '../../hardware/emulator/index.ts';
import { FirmwareRig, image } from './firmware-rig.ts';
import { CAUSE, CODE, make } from './firmware-wire.ts';

const connected = (): FirmwareRig => {
  const rig = new FirmwareRig();
  rig.connect();
  rig.board.switches.drain();
  return rig;
};

const edges = (rig: FirmwareRig): string[] =>
  rig.board.switches.drain().edges.map((edge) => `${edge.switch} ${edge.high ? 'closes' : 'opens'}`);

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

import { describe, expect, it } from 'vitest';
import type { Answer } from './firmware-hear.ts';
import { FirmwareRig, rom } from './firmware-rig.ts';
import { BLOCK, CODE, crc16, limitsBytes, make } from './firmware-wire.ts';

const connected = (): FirmwareRig => {
  const rig = new FirmwareRig();
  rig.connect();
  return rig;
};

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

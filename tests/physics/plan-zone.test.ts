import { describe, expect, it } from 'vitest';
import { PlanFault } from '../../shared/plan/fault.ts';
import {
  aroundNight,
  clockText,
  dayText,
  inNight,
  instantOf,
  isoText,
  parseServeBy,
  wallTime,
} from '../../shared/plan/zone.ts';

const zurich = 'Europe/Zurich';
const at = (iso: string) => Date.parse(iso);
const wall = (hour: number, minute = 0, day = 3, month = 7, year = 2026) => ({
  year,
  month,
  day,
  hour,
  minute,
});

describe('wall time and instants', () => {
  // Offsets of the IANA time zone database: Zurich UTC+1 and +2, Kathmandu +5:45, Denver -7 and -6, Apia +13.
  it.each([
    [zurich, '2026-07-03T19:30:00+02:00'],
    [zurich, '2026-01-03T19:30:00+01:00'],
    ['Asia/Kathmandu', '2026-07-03T19:30:00+05:45'],
    ['America/Denver', '2026-07-03T19:30:00-06:00'],
    ['Pacific/Apia', '2026-07-03T19:30:00+13:00'],
    ['UTC', '2026-07-03T19:30:00+00:00'],
  ])('agree in %s with the offset of its date: %s', (zone, iso) => {
    const ms = at(iso);
    const { weekday, ...parts } = wallTime(ms, zone);
    expect(clockText(ms, zone)).toBe('19:30');
    expect(instantOf(parts, zone)).toEqual({ ms, note: null });
    expect(isoText(ms, zone)).toBe(iso);
    expect(weekday.length).toBe(3);
  });

  it('refuse a time the clocks skip and say so of one that comes twice (EU summer time 2026: 29 March, 25 October)', () => {
    expect(() => instantOf(wall(2, 30, 29, 3), zurich)).toThrow(/does not exist in Europe\/Zurich/);
    const twice = instantOf(wall(2, 30, 25, 10), zurich);
    expect(twice.ms).toBe(at('2026-10-25T02:30:00+02:00'));
    expect(twice.note).toMatch(/twice/);
    expect(instantOf(wall(3, 30, 29, 3), zurich).ms).toBe(at('2026-03-29T03:30:00+02:00'));
  });

  it('refuse dates that are none and zones that are not known', () => {
    expect(() => instantOf(wall(19, 30, 31, 2), zurich)).toThrow(PlanFault);
    expect(() => wallTime(0, 'Europe/Atlantis')).toThrow(/IANA name/);
  });
});

describe('a time to serve by', () => {
  const now = at('2026-07-02T15:00:00+02:00');

  it('is the next 19:30 where only a clock time is given, and says which day it took', () => {
    expect(parseServeBy('19:30', zurich, now)).toEqual({ ms: at('2026-07-02T19:30:00+02:00'), note: null });
    const later = parseServeBy('12:00', zurich, now);
    expect(later.ms).toBe(at('2026-07-03T12:00:00+02:00'));
    expect(later.note).toMatch(/tomorrow/);
  });

  it('is taken with its date in the zone, or as an instant with its own offset', () => {
    expect(parseServeBy('2026-07-03 19:30', zurich, now).ms).toBe(at('2026-07-03T19:30:00+02:00'));
    expect(parseServeBy('2026-07-03T19:30', 'America/Denver', now).ms).toBe(at('2026-07-03T19:30:00-06:00'));
    expect(parseServeBy('2026-07-03T19:30:00Z', zurich, now).ms).toBe(at('2026-07-03T19:30:00Z'));
  });

  it('is an error once it has passed, and where it cannot be read', () => {
    expect(() => parseServeBy('2026-07-01 19:30', zurich, now)).toThrow(/has passed; it is Thu 2 Jul, 15:00/);
    expect(() => parseServeBy('2026-07-02T13:00:00Z', zurich, now)).toThrow(/has passed/);
    expect(() => parseServeBy('half seven', zurich, now)).toThrow(/expected 19:30/);
    expect(() => parseServeBy('25:00', zurich, now)).toThrow(/no time of day/);
  });

  it('keeps 19:30 at 19:30 when the clocks change before dinner', () => {
    const before = at('2026-03-28T20:00:00+01:00');
    expect(clockText(parseServeBy('19:30', zurich, before).ms, zurich)).toBe('19:30');
    expect(parseServeBy('19:30', zurich, before).ms).toBe(at('2026-03-29T19:30:00+02:00'));
  });
});

describe('the night', () => {
  const night = { fromMin: 22 * 60, toMin: 6 * 60 };
  it('runs over midnight and has an evening before it and a morning after', () => {
    const two = at('2026-07-03T02:10:20+02:00');
    expect(inNight(two, night, zurich)).toBe(true);
    expect(inNight(at('2026-07-03T06:00:00+02:00'), night, zurich)).toBe(false);
    expect(inNight(at('2026-07-02T22:00:00+02:00'), night, zurich)).toBe(true);
    const { beforeMs, afterMs } = aroundNight(two, night, zurich);
    expect(dayText(beforeMs, zurich)).toBe('Thu 2 Jul, 22:00');
    expect(dayText(afterMs, zurich)).toBe('Fri 3 Jul, 06:00');
    expect(inNight(two, null, zurich)).toBe(false);
  });
});

describe('a night in which the clocks are changed', () => {
  const night = { fromMin: 22 * 60, toMin: 6 * 60 };
  it('begins and ends at its hours on the wall clock, back and forward', () => {
    // EU summer time ends on 25 October 2026 and begins on 29 March 2026, both at 01:00 UTC (Directive 2000/84/EC).
    for (const [inside, evening, morning] of [
      ['2026-10-25T05:30:00+01:00', 'Sat 24 Oct, 22:00', 'Sun 25 Oct, 06:00'],
      ['2026-10-25T01:00:00+02:00', 'Sat 24 Oct, 22:00', 'Sun 25 Oct, 06:00'],
      ['2026-03-29T05:30:00+02:00', 'Sat 28 Mar, 22:00', 'Sun 29 Mar, 06:00'],
      ['2026-03-28T23:30:00+01:00', 'Sat 28 Mar, 22:00', 'Sun 29 Mar, 06:00'],
    ] as const) {
      const { beforeMs, afterMs } = aroundNight(at(inside), night, zurich);
      expect([dayText(beforeMs, zurich), dayText(afterMs, zurich)]).toEqual([evening, morning]);
    }
  });
});

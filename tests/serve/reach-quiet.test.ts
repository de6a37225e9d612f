import { describe, expect, it } from 'vitest';
import { isQuiet, timeOfDayText } from '../../controller/reach/quiet.ts';

/**
 * Source of the offsets: IANA time zone database, Europe/Zurich: UTC+1, from the last Sunday of March to the last
 * Sunday of October UTC+2, changed at 01:00 UTC; Asia/Kathmandu: UTC+5:45 all year; America/St_Johns: UTC-3:30.
 */
const night = { from: '22:00', to: '06:00' };

describe('quiet hours', () => {
  it('run over midnight; their first minute belongs to them, their last does not', () => {
    const at = (hour: number, minute: number) =>
      isQuiet(night, 'UTC', Date.UTC(2026, 10, 25, hour, minute, 59));
    expect([at(21, 59), at(22, 0), at(0, 0), at(5, 59), at(6, 0)]).toEqual([false, true, true, true, false]);
  });

  it('run within a day where they begin earlier than they end', () => {
    const at = (hour: number) => isQuiet({ from: '13:00', to: '15:00' }, 'UTC', Date.UTC(2026, 10, 25, hour));
    expect([at(12), at(13), at(14), at(15)]).toEqual([false, true, true, false]);
  });

  it('go by the clock on the wall of the zone, with its summer time', () => {
    // 20:30 UTC is 21:30 in Zurich's winter and 22:30 in its summer.
    expect(isQuiet(night, 'Europe/Zurich', Date.UTC(2026, 10, 25, 20, 30))).toBe(false);
    expect(isQuiet(night, 'Europe/Zurich', Date.UTC(2026, 6, 25, 20, 30))).toBe(true);
    // 25 October 2026, clocks go back at 03:00 to 02:00: 04:59 UTC is 05:59 in Zurich, 05:00 UTC is 06:00.
    expect(isQuiet(night, 'Europe/Zurich', Date.UTC(2026, 9, 25, 4, 59))).toBe(true);
    expect(isQuiet(night, 'Europe/Zurich', Date.UTC(2026, 9, 25, 5, 0))).toBe(false);
    // 29 March 2026, clocks go forward at 02:00 to 03:00: 03:59 UTC is 05:59, 04:00 UTC is 06:00.
    expect(isQuiet(night, 'Europe/Zurich', Date.UTC(2026, 2, 29, 3, 59))).toBe(true);
    expect(isQuiet(night, 'Europe/Zurich', Date.UTC(2026, 2, 29, 4, 0))).toBe(false);
  });

  it('go by zones that are not whole hours from UTC', () => {
    expect(timeOfDayText('Asia/Kathmandu', Date.UTC(2026, 10, 25, 0, 0))).toBe('Wed 05:45');
    expect(timeOfDayText('America/St_Johns', Date.UTC(2026, 0, 25, 12, 0))).toBe('Sun 08:30');
    expect(timeOfDayText('UTC', Date.UTC(2026, 10, 25, 0, 0))).toBe('Wed 00:00');
  });

  it('are never where none are set', () => {
    expect(isQuiet(null, 'UTC', Date.UTC(2026, 10, 25, 3))).toBe(false);
  });
});

/** The page speaks English; the time zone is the phone's own. */
const LOCALE = 'en-GB';
const DAY_MS = 86_400_000;

const hourMinute = new Intl.DateTimeFormat(LOCALE, {
  hour: '2-digit',
  minute: '2-digit',
  hourCycle: 'h23',
});
const withSeconds = new Intl.DateTimeFormat(LOCALE, {
  hour: '2-digit',
  minute: '2-digit',
  second: '2-digit',
  hourCycle: 'h23',
});
const weekday = new Intl.DateTimeFormat(LOCALE, { weekday: 'short' });
const day = new Intl.DateTimeFormat(LOCALE, { weekday: 'long', day: 'numeric', month: 'long' });
const dated = new Intl.DateTimeFormat(LOCALE, { day: 'numeric', month: 'short', year: 'numeric' });

/** Time of day, 24 h, in this phone's time zone; with seconds where asked. */
export function clockText(ms: number, seconds = false): string {
  return (seconds ? withSeconds : hourMinute).format(ms);
}

/** Time of day with the weekday, for windows longer than half a day. */
export function dayClockText(ms: number): string {
  return `${weekday.format(ms)} ${hourMinute.format(ms)}`;
}

/** Time of day; with the weekday where it is not the day of `nowMs`. */
export function whenText(ms: number, nowMs: number): string {
  return day.format(ms) === day.format(nowMs) ? clockText(ms) : dayClockText(ms);
}

/** Date and time of day. */
export function dateText(ms: number): string {
  return `${dated.format(ms)}, ${hourMinute.format(ms)}`;
}

/** The day in full, as the name of a cook. */
export function dayText(ms: number): string {
  return day.format(ms);
}

/** A time on an axis; where the window is long, midnight is the name of its day. */
export function axisText(ms: number, windowMs: number): string {
  const text = clockText(ms);
  return windowMs > DAY_MS / 4 && text === '00:00' ? weekday.format(ms) : text;
}

/** A time in a table: with the weekday where the window is long. */
export function tableText(ms: number, windowMs: number): string {
  return windowMs > DAY_MS / 4 ? dayClockText(ms) : clockText(ms, windowMs < DAY_MS / 48);
}

import { clockText, dayText, wallTime } from '../../../shared/plan/zone.ts';

const MINUTE_MS = 60_000;
const HOUR_MS = 60 * MINUTE_MS;
const DAYS = ['Sunday', 'Monday', 'Tuesday', 'Wednesday', 'Thursday', 'Friday', 'Saturday'];
const MONTHS = 'January,February,March,April,May,June,July,August,September,October,November,December'.split(
  ',',
);

/** Number of the day in the zone, so that two instants can be told apart by day. */
function dayNumber(ms: number, zone: string): number {
  const { year, month, day } = wallTime(ms, zone);
  return Math.round(Date.UTC(year, month - 1, day) / 86_400_000);
}

/** A day as a heading: `Today, Wednesday 25 November`. */
export function dayHeading(ms: number, nowMs: number, zone: string): string {
  const number = dayNumber(ms, zone);
  const { day, month } = wallTime(ms, zone);
  const name = `${DAYS[(number + 4) % 7]} ${day} ${MONTHS[month - 1]}`;
  const away = number - dayNumber(nowMs, zone);
  const near = away === 0 ? 'Today' : away === 1 ? 'Tomorrow' : away === -1 ? 'Yesterday' : null;
  return near === null ? name : `${near}, ${name}`;
}

/** The same within a sentence: `tomorrow, Thursday 26 November`. */
export function dayInSentence(ms: number, nowMs: number, zone: string): string {
  return dayHeading(ms, nowMs, zone).replace(/^(Today|Tomorrow|Yesterday)/, (near) => near.toLowerCase());
}

/** Whether two instants fall on one day in the zone. */
export function sameDay(a: number, b: number, zone: string): boolean {
  return dayNumber(a, zone) === dayNumber(b, zone);
}

/** A time of day; with the day where it is not the day of `besideMs`. */
export function timeText(ms: number, besideMs: number, zone: string): string {
  if (sameDay(ms, besideMs, zone)) return clockText(ms, zone);
  const [day, time] = dayText(ms, zone).split(', ');
  const near = dayNumber(ms, zone) - dayNumber(besideMs, zone);
  if (near === 1) return `tomorrow ${time}`;
  return Math.abs(near) < 7 ? `${day?.split(' ')[0]} ${time}` : `${day} ${time}`;
}

/** The same as short as can be, for a row of three: with the weekday where it is another day. */
export function shortTime(ms: number, besideMs: number, zone: string): string {
  if (sameDay(ms, besideMs, zone)) return clockText(ms, zone);
  const [day = '', time] = dayText(ms, zone).split(', ');
  return `${day.split(' ')[0]} ${time}`;
}

/** How far off, in words a cook uses: `now`, `in 7 h 40 min`, `12 min ago`, `in 2 days`. */
export function awayText(ms: number, nowMs: number): string {
  const away = ms - nowMs;
  const size = Math.abs(away);
  if (size < 1.5 * MINUTE_MS) return 'now';
  const words = spanText(size);
  return away > 0 ? `in ${words}` : `${words} ago`;
}

/** A length of time: `40 min`, `7 h 40 min`, `26 h`, `3 days`. */
export function spanText(ms: number): string {
  const minutes = Math.round(ms / MINUTE_MS);
  if (minutes < 60) return `${minutes} min`;
  if (ms >= 48 * HOUR_MS) return `${Math.round(ms / (24 * HOUR_MS))} days`;
  const hours = Math.floor(minutes / 60);
  const rest = minutes % 60;
  return rest === 0 || hours >= 24 ? `${Math.round(minutes / 60)} h` : `${hours} h ${rest} min`;
}

/** The 99 % band of something that happens of itself. */
export function bandText(band: readonly [number, number], zone: string): string {
  const [from, to] = band;
  if (to - from < MINUTE_MS) return `at ${clockText(from, zone)}`;
  return `99 times in 100 between ${clockText(from, zone)} and ${shortTime(to, to - from < 24 * HOUR_MS ? to : from, zone)}`;
}

/** A span of readiness in one line. */
export function spanLine(p10Ms: number | null, p90Ms: number | null, nowMs: number, zone: string): string {
  if (p10Ms === null) return 'not within the days that can be foreseen';
  const from = p10Ms <= nowMs ? 'now' : timeText(p10Ms, nowMs, zone);
  if (p90Ms === null) return `from ${from}, perhaps not for days`;
  if (p90Ms <= nowMs) return 'very likely now';
  return `${from} to ${p10Ms <= nowMs ? timeText(p90Ms, nowMs, zone) : shortTime(p90Ms, p10Ms, zone)}`;
}

/** `2026-11-25` in the zone, for a date field. */
export function dateField(ms: number, zone: string): string {
  const { year, month, day } = wallTime(ms, zone);
  return `${year}-${String(month).padStart(2, '0')}-${String(day).padStart(2, '0')}`;
}

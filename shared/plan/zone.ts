/** Wall time in a named time zone (IANA), from and to an instant. Daylight saving is the zone's own affair. */
import { PlanFault } from './fault.ts';

const MINUTE_MS = 60_000;
const DAY_MS = 86_400_000;

/** A wall clock's reading. */
export interface WallTime {
  readonly year: number;
  readonly month: number;
  readonly day: number;
  readonly hour: number;
  readonly minute: number;
}

const formats = new Map<string, Intl.DateTimeFormat>();

/** Making a format takes a thousand times as long as using it, so each zone's is kept. */
function formatOf(zone: string): Intl.DateTimeFormat {
  const kept = formats.get(zone);
  if (kept) return kept;
  try {
    const made = new Intl.DateTimeFormat('en-GB', {
      timeZone: zone,
      hourCycle: 'h23',
      year: 'numeric',
      month: 'numeric',
      day: 'numeric',
      hour: 'numeric',
      minute: 'numeric',
      second: 'numeric',
    });
    formats.set(zone, made);
    return made;
  } catch {
    throw new PlanFault([
      `time zone "${zone}" is not known; expected an IANA name such as Europe/Zurich, America/Denver or UTC.`,
    ]);
  }
}

const WEEKDAYS = ['Sun', 'Mon', 'Tue', 'Wed', 'Thu', 'Fri', 'Sat'];

/** What a wall clock in the zone shows at an instant. */
export function wallTime(ms: number, zone: string): WallTime & { readonly weekday: string } {
  const shown = new Date(ms + offsetMs(ms, zone));
  return {
    year: shown.getUTCFullYear(),
    month: shown.getUTCMonth() + 1,
    day: shown.getUTCDate(),
    hour: shown.getUTCHours(),
    minute: shown.getUTCMinutes(),
    weekday: WEEKDAYS[shown.getUTCDay()] ?? '',
  };
}

const HOUR_MS = 60 * MINUTE_MS;
/** Hours remembered; a plan asks for a few dozen, hundreds of times. */
const HOURS_MOST = 2000;
const offsets = new Map<string, number | null>();

/** Offset of the zone from UTC at an instant, ms east. */
export function offsetMs(ms: number, zone: string): number {
  const hour = Math.floor(ms / HOUR_MS);
  const key = `${hour} ${zone}`;
  let kept = offsets.get(key);
  if (kept === undefined) {
    const before = askedOffsetMs(hour * HOUR_MS, zone);
    // An hour in which the clocks are changed is not remembered.
    kept = before === askedOffsetMs((hour + 1) * HOUR_MS - 1000, zone) ? before : null;
    if (offsets.size >= HOURS_MOST) offsets.clear();
    offsets.set(key, kept);
  }
  return kept ?? askedOffsetMs(ms, zone);
}

function askedOffsetMs(ms: number, zone: string): number {
  const p: Record<string, string> = {};
  for (const { type, value } of formatOf(zone).formatToParts(ms)) p[type] = value;
  const asUtc = Date.UTC(
    Number(p.year),
    Number(p.month) - 1,
    Number(p.day),
    Number(p.hour),
    Number(p.minute),
    Number(p.second),
  );
  return asUtc - Math.floor(ms / 1000) * 1000;
}

/**
 * The instant at which a wall clock in the zone shows this time.
 * A time that the clocks skip, or show twice, in the night of a change is told in `note`; of two the first is taken.
 * @throws PlanFault for a zone that is not known, a date that is none, or a time that is skipped
 */
export function instantOf(
  wall: WallTime,
  zone: string,
): { readonly ms: number; readonly note: string | null } {
  const { year, month, day, hour, minute } = wall;
  const guess = Date.UTC(year, month - 1, day, hour, minute);
  const check = new Date(guess);
  const real =
    check.getUTCMonth() === month - 1 && check.getUTCDate() === day && check.getUTCHours() === hour;
  const text = `${year}-${two(month)}-${two(day)} ${two(hour)}:${two(minute)}`;
  if (!real || minute > 59) throw new PlanFault([`${text} is no date and time; check day, month and hour.`]);
  const found: number[] = [];
  for (const near of [guess - DAY_MS, guess + DAY_MS]) {
    const ms = guess - offsetMs(near, zone);
    if (ms + offsetMs(ms, zone) === guess && !found.includes(ms)) found.push(ms);
  }
  found.sort((a, b) => a - b);
  const [first, second] = found;
  if (first === undefined) {
    throw new PlanFault([
      `${text} does not exist in ${zone}: the clocks are put forward then. Take a time an hour earlier or later.`,
    ]);
  }
  const note = second === undefined ? null : `${text} comes twice in ${zone}; the first is meant.`;
  return { ms: first, note };
}

const two = (n: number) => String(n).padStart(2, '0');

/** Hours and minutes as a wall clock shows them: 19:30. */
export function clockText(ms: number, zone: string): string {
  const { hour, minute } = wallTime(ms, zone);
  return `${two(hour)}:${two(minute)}`;
}

/** Weekday, date and clock: Fri 3 Jul, 19:30. */
export function dayText(ms: number, zone: string): string {
  const { weekday, day, month } = wallTime(ms, zone);
  const months = ['Jan', 'Feb', 'Mar', 'Apr', 'May', 'Jun', 'Jul', 'Aug', 'Sep', 'Oct', 'Nov', 'Dec'];
  return `${weekday} ${day} ${months[month - 1]}, ${clockText(ms, zone)}`;
}

/** ISO 8601 with the zone's own offset, to the second. */
export function isoText(ms: number, zone: string): string {
  const offset = offsetMs(ms, zone);
  const local = new Date(Math.floor((ms + offset) / 1000) * 1000).toISOString().slice(0, 19);
  const away = Math.abs(offset) / MINUTE_MS;
  return `${local}${offset < 0 ? '-' : '+'}${two(Math.floor(away / 60))}:${two(Math.round(away % 60))}`;
}

/** A serve-by as read, and what was taken for granted in reading it. */
export interface ServeBy {
  readonly ms: number;
  readonly note: string | null;
}

/**
 * Reads when food must be on the table: `19:30` (the next time it is so), `2026-07-03 19:30` in the zone, or an ISO
 * instant with its own offset.
 * @throws PlanFault for what cannot be read, and for a time that has passed
 */
export function parseServeBy(text: string, zone: string, nowMs: number): ServeBy {
  const clock = /^\s*(\d{1,2}):(\d{2})\s*$/.exec(text);
  const found = clock ? nextTime(Number(clock[1]), Number(clock[2]), zone, nowMs) : datedTime(text, zone);
  if (found.ms <= nowMs) {
    throw new PlanFault([
      `${dayText(found.ms, zone)} (${zone}) has passed; it is ${dayText(nowMs, zone)}. Give a time that is still to come.`,
    ]);
  }
  return found;
}

function nextTime(hour: number, minute: number, zone: string, nowMs: number): ServeBy {
  if (hour > 23 || minute > 59) {
    throw new PlanFault([`"${two(hour)}:${two(minute)}" is no time of day; expected 00:00 to 23:59.`]);
  }
  const today = wallTime(nowMs, zone);
  const first = instantOf({ ...today, hour, minute }, zone);
  if (first.ms > nowMs) return first;
  const next = wallTime(first.ms + DAY_MS, zone);
  const tomorrow = instantOf({ ...next, hour, minute }, zone);
  return { ms: tomorrow.ms, note: `${two(hour)}:${two(minute)} has passed today; tomorrow's is meant.` };
}

function datedTime(text: string, zone: string): ServeBy {
  const local = /^\s*(\d{4})-(\d{2})-(\d{2})[T ](\d{1,2}):(\d{2})(?::00)?\s*$/.exec(text);
  if (local) {
    const [year, month, day, hour, minute] = local.slice(1).map(Number) as [
      number,
      number,
      number,
      number,
      number,
    ];
    return instantOf({ year, month, day, hour, minute }, zone);
  }
  const absolute = /^\s*\d{4}-\d{2}-\d{2}T\d{2}:\d{2}(:\d{2}(\.\d+)?)?(Z|[+-]\d{2}:\d{2})\s*$/.test(text);
  const ms = absolute ? Date.parse(text.trim()) : Number.NaN;
  if (Number.isFinite(ms)) return { ms, note: null };
  throw new PlanFault([
    `"${text}" is no time to serve by; expected 19:30, 2026-07-03 19:30, or an instant such as 2026-07-03T19:30:00+02:00.`,
  ]);
}

/** Part of the day in which nobody is to be woken, minutes after midnight; may run over midnight. */
export interface Night {
  readonly fromMin: number;
  readonly toMin: number;
}

/** Whether an instant lies in the night. */
export function inNight(ms: number, night: Night | null, zone: string): boolean {
  if (!night) return false;
  const { hour, minute } = wallTime(ms, zone);
  const at = hour * 60 + minute;
  const { fromMin, toMin } = night;
  return fromMin <= toMin ? at >= fromMin && at < toMin : at >= fromMin || at < toMin;
}

/** The last instant before the night that `ms` lies in, and the first after it; `ms` itself when it is no night. */
export function aroundNight(
  ms: number,
  night: Night | null,
  zone: string,
): { readonly beforeMs: number; readonly afterMs: number } {
  if (!night || !inNight(ms, night, zone)) return { beforeMs: ms, afterMs: ms };
  const { hour, minute } = wallTime(ms, zone);
  const at = hour * 60 + minute;
  const since = (at - night.fromMin + 1440) % 1440;
  const left = (night.toMin - at + 1440) % 1440;
  const whole = Math.floor(ms / MINUTE_MS) * MINUTE_MS;
  // Minutes of the wall clock are not those of a night in which the clocks are changed.
  const shownAt = (away: number) => away + offsetMs(ms, zone) - offsetMs(away, zone);
  return { beforeMs: shownAt(whole - since * MINUTE_MS), afterMs: shownAt(whole + left * MINUTE_MS) };
}

import type { QuietHours } from '../../shared/wire/reach.ts';

const formats = new Map<string, Intl.DateTimeFormat>();

function partsIn(zone: string, wallMs: number): Readonly<Record<string, string>> {
  let format = formats.get(zone);
  if (!format) {
    format = new Intl.DateTimeFormat('en-GB', {
      timeZone: zone,
      hourCycle: 'h23',
      weekday: 'short',
      hour: '2-digit',
      minute: '2-digit',
    });
    formats.set(zone, format);
  }
  return Object.fromEntries(format.formatToParts(wallMs).map((part) => [part.type, part.value]));
}

/** Time of day such as `Wed 22:05` in a zone of the IANA database; summer time as that database has it. */
export function timeOfDayText(zone: string, wallMs: number): string {
  const { weekday, hour, minute } = partsIn(zone, wallMs);
  return `${weekday} ${hour}:${minute}`;
}

const minuteOf = (clock: string): number => Number(clock.slice(0, 2)) * 60 + Number(clock.slice(3));

/**
 * Whether it is quiet at that moment. `from` belongs to the quiet time, `to` does not; over midnight where `to` comes
 * first. By the clock on the wall of that zone, so the night of a change of clocks is an hour longer or shorter.
 */
export function isQuiet(hours: QuietHours | null, zone: string, wallMs: number): boolean {
  if (hours === null) return false;
  const { hour, minute } = partsIn(zone, wallMs);
  const now = Number(hour) * 60 + Number(minute);
  const from = minuteOf(hours.from);
  const to = minuteOf(hours.to);
  return from < to ? now >= from && now < to : now >= from || now < to;
}

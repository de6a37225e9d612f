import { describe, expect, it } from 'vitest';
import { assessed, csvOf, rowsOf } from './assess-run.ts';

/** One cook, 61 rows a minute apart, written in the ways of many loggers; each must give the same result. */
const rows = rowsOf(3600, 60, (s) => 55 + (s % 600) / 100);
const f = (celsius: number) => (celsius * 1.8 + 32).toFixed(2);
const START_MS = Date.UTC(2026, 9, 3, 6, 0, 0);
const iso = (s: number) => new Date(START_MS + s * 1000).toISOString();
const local = (s: number) => iso(s).slice(0, 19);
const pad = (n: number) => String(n).padStart(2, '0');
const clock = (s: number) => `${Math.floor(s / 3600)}:${pad(Math.floor(s / 60) % 60)}:${pad(s % 60)}`;
const at = (s: number) => new Date(START_MS + s * 1000);
const comma = (n: number) => String(n).replace('.', ',');
const lines = (head: string, line: (s: number, c: number) => string, end = '\n') =>
  `${[head, ...rows.map(([s, c]) => line(s, c))].filter((l) => l !== '').join(end)}${end}`;
const utf16 = (text: string, big: boolean) => {
  const bytes = Buffer.from(`\ufeff${text}`, 'utf16le');
  return big ? bytes.swap16() : bytes;
};

interface Way {
  readonly says: string;
  readonly log: string | Uint8Array;
  readonly flags?: readonly string[];
  /** What it says it repaired; nothing where absent. */
  readonly repaired?: RegExp;
}

const ways: readonly Way[] = [
  { says: 'elapsed seconds and bath_c with commas', log: csvOf(rows) },
  { says: 'degrees F by the header bath_f', log: lines('time,bath_f', (s, c) => `${s},${f(c)}`) },
  { says: 'degrees F by --unit', log: lines('time,bath', (s, c) => `${s},${f(c)}`), flags: ['--unit', 'F'] },
  { says: 'degrees F by a sign in each cell', log: lines('time,bath', (s, c) => `${s},${f(c)} °F`) },
  {
    says: 'degrees C by a sign in some cells',
    log: lines('time,bath', (s, c) => `${s},${c}${s % 120 ? '' : ' C'}`),
  },
  {
    says: 'degrees C by a row of units under the names',
    log: lines('Time,Bath\ns,°C', (s, c) => `${s},${c}`),
  },
  {
    says: 'a unit in brackets and capitals',
    log: lines('Elapsed (s),Water Temp [°C]', (s, c) => `${s},${c}`),
  },
  { says: 'a unit run into the name', log: lines('time,bathTempF', (s, c) => `${s},${f(c)}`) },
  { says: 'semicolons', log: lines('time;bath_c', (s, c) => `${s};${c}`) },
  { says: 'semicolons with decimal commas', log: lines('time;bath_c', (s, c) => `${s},0;${comma(c)}`) },
  { says: 'tabs', log: lines('time\tbath_c', (s, c) => `${s}\t${c}`) },
  { says: 'tabs with decimal commas', log: lines('time\tbath_c', (s, c) => `${s}\t${comma(c)}`) },
  { says: 'decimal commas quoted among commas', log: lines('time,bath_c', (s, c) => `${s},"${comma(c)}"`) },
  { says: 'everything quoted', log: lines('"time","bath_c"', (s, c) => `"${s}","${c}"`) },
  { says: 'CRLF ends', log: lines('time,bath_c', (s, c) => `${s},${c}`, '\r\n') },
  { says: 'CR ends', log: lines('time,bath_c', (s, c) => `${s},${c}`, '\r') },
  { says: 'a byte order mark', log: `\ufeff${csvOf(rows)}` },
  { says: 'UTF-16, low byte first', log: utf16(csvOf(rows), false), repaired: /UTF-16LE/ },
  { says: 'UTF-16, high byte first', log: utf16(csvOf(rows), true), repaired: /UTF-16BE/ },
  {
    says: 'Windows-1252 with a degree sign',
    log: Buffer.from(
      lines('time;Bath °C', (s, c) => `${s};${c}`),
      'latin1',
    ),
    repaired: /Windows-1252/,
  },
  {
    says: 'comments',
    log: `# hut logger 3\n# probe 28-04\n${csvOf(rows).replace('\n600,', '\n# door opened\n600,')}`,
  },
  { says: 'a header in a comment', log: `# time,bath_c\n${csvOf(rows).split('\n').slice(1).join('\n')}` },
  {
    says: 'lines of text before the header',
    log: `Hut logger,serial 0042\nInterval,60,s\n\n${csvOf(rows)}`,
    repaired: /Left out 2 lines before the log's header/,
  },
  { says: 'blank lines between rows', log: csvOf(rows).replaceAll('\n', '\n\n') },
  { says: 'no end of the last line', log: csvOf(rows).trimEnd() },
  {
    says: 'no header, two columns, and --unit',
    log: lines('', (s, c) => `${s},${c}`),
    flags: ['--unit', 'C'],
    repaired: /first of the two columns for the time/,
  },
  {
    says: 'no header and no unit, where as F it would be no cook',
    log: lines('', (s, c) => `${s},${c}`),
    repaired: /No unit is named anywhere. Read as C/,
  },
  {
    says: 'names nobody here knows, with the unit in one',
    log: lines('Zeit;Bad °C', (s, c) => `${local(s)};${comma(c)}`),
    repaired: /first of the two columns/,
  },
  { says: 'more columns, named', log: lines('id,set_c,time,bath_c,room_c', (s, c) => `x,60,${s},${c},21`) },
  {
    says: 'columns chosen by name',
    log: lines('id,when,t1_c,t2_c', (s, c) => `7,${s},21,${c}`),
    flags: ['--time-column', 'when', '--bath-column', 'T2_c'],
  },
  {
    says: 'columns chosen by number, without a header',
    log: lines('', (s, c) => `7,${s},21,${c}`),
    flags: ['--time-column', '2', '--bath-column', '4', '--unit', 'C'],
  },
  {
    says: 'an own export of a cook',
    log: lines(
      'time,sequence,bath_c,setpoint_c,duty_ratio,notes,lamb_core_c',
      (s, c) => `${iso(s)},${s},${c},60,0.4,,${c - 5}`,
    ),
  },
  { says: 'ISO 8601 with Z', log: lines('time,bath_c', (s, c) => `${iso(s)},${c}`) },
  { says: 'ISO 8601 with an offset', log: lines('time,bath_c', (s, c) => `${local(s)}+02:00,${c}`) },
  {
    says: 'ISO 8601 whose offset changes as summer time ends',
    log: lines(
      'time,bath_c',
      (s, c) => `${s < 1800 ? `${local(s)}+02:00` : `${local(s - 3600)}+01:00`},${c}`,
    ),
  },
  { says: 'ISO 8601 without a zone', log: lines('time,bath_c', (s, c) => `${local(s)},${c}`) },
  {
    says: 'ISO 8601 with a blank for the T, to the minute',
    log: lines('time,bath_c', (s, c) => `${local(s).replace('T', ' ').slice(0, 16)},${c}`),
  },
  {
    says: 'ISO 8601 in its basic form',
    log: lines('time,bath_c', (s, c) => `${local(s).replace(/[-:]/g, '')}Z,${c}`),
  },
  { says: 'seconds since 1970', log: lines('time,bath_c', (s, c) => `${START_MS / 1000 + s},${c}`) },
  { says: 'milliseconds since 1970', log: lines('time,bath_c', (s, c) => `${START_MS + s * 1000},${c}`) },
  { says: 'elapsed minutes by the header', log: lines('elapsed_min,bath_c', (s, c) => `${s / 60},${c}`) },
  { says: 'elapsed h:mm:ss', log: lines('elapsed,bath_c', (s, c) => `${clock(s)},${c}`) },
  {
    says: 'elapsed h:mm, said in the header',
    log: lines('elapsed (h:mm),bath_c', (s, c) => `${clock(s).slice(0, -3)},${c}`),
  },
  {
    says: 'elapsed time that does not begin at 0',
    log: lines('time,bath_c', (s, c) => `${s + 86_400},${c}`),
  },
  {
    says: 'a clock that passes midnight',
    log: lines('time,bath_c', (s, c) => `${clock((s + 84_600) % 86_400)},${c}`),
    repaired: /passed midnight at line 32/,
  },
  {
    says: 'a 12 h clock',
    log: lines(
      'time,bath_c',
      (s, c) =>
        `${11 + Math.floor(s / 3600) > 12 ? 1 : 11 + Math.floor(s / 3600)}:${clock(s).slice(-5)} ${s < 3600 ? 'AM' : 'PM'},${c}`,
    ),
  },
  { says: 'day.month.year', log: lines('time;bath_c', (s, c) => `03.10.2026 ${clock(s + 21_600)};${c}`) },
  {
    says: 'month/day/year that only reads one way',
    log: lines('time,bath_c', (s, c) => `10/23/2026 ${clock(s + 21_600)},${c}`),
  },
  {
    says: 'day and month in doubt, but all within one day',
    log: lines('time,bath_c', (s, c) => `03/10/2026 ${clock(s + 21_600)},${c}`),
  },
  {
    says: 'numbered rows, a header that begins with #, years of two digits and halves of the day',
    log: lines(
      '"Hut, lower box"\n"#","Date Time, GMT+02:00","Temp, °C"',
      (s, c) => `${1 + s / 60},10/23/26 0${6 + Math.floor(s / 3600)}:${clock(s).slice(-5)} AM,${c}`,
    ),
    repaired: /Left out 1 line before/,
  },
  {
    says: 'date and time in columns of their own',
    log: lines(
      'Date,Time,Bath (C)',
      (s, c) =>
        `2026-10-03,${pad(at(s).getUTCHours())}:${pad(at(s).getUTCMinutes())}:${pad(at(s).getUTCSeconds())},${c}`,
    ),
  },
  {
    says: 'the minus and the spaces of a typesetter',
    log: lines('time,bath_c', (s, c) => `\u00a0${s},\u00a0${c}\u00a0`),
  },
];

const expected = await assessed(csvOf(rows));

describe('a log is read the same', () => {
  it.each(ways)('written as $says', async ({ log, flags = [], repaired }) => {
    const result = await assessed(log, ...flags);
    expect(result.durationS).toBe(3600);
    expect(result.log.rowsUsed).toBe(61);
    expect(result.core.endC).toBeCloseTo(expected.core.endC, 2);
    expect(result.lethality[0]!.log10).toBeCloseTo(expected.lethality[0]!.log10, 2);
    expect(result.gaps.found).toEqual([]);
    if (repaired) expect(result.repairs.join('\n')).toMatch(repaired);
    else expect(result.repairs).toEqual([]);
  });

  it('and names when it began only where the log says so', async () => {
    expect((await assessed(lines('time,bath_c', (s, c) => `${iso(s)},${c}`))).startedAt).toBe(
      '2026-10-03T06:00:00.000Z',
    );
    expect((await assessed(lines('time,bath_c', (s, c) => `${local(s)}+02:00,${c}`))).startedAt).toBe(
      '2026-10-03T04:00:00.000Z',
    );
    expect((await assessed(lines('time,bath_c', (s, c) => `${local(s)},${c}`))).startedAt).toBeNull();
    expect(expected.startedAt).toBeNull();
  });

  it('and says which columns, unit and kind of time it took', () => {
    expect(expected.log).toMatchObject({
      rowsRead: 61,
      delimiter: 'comma',
      times: 'elapsed',
      unit: 'C',
      unitFrom: 'the header',
      columns: { time: 'column 1 "time"', bath: 'column 2 "bath_c"', core: null },
    });
  });
});

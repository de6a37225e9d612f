import { deflateSync } from 'node:zlib';
import { describe, expect, it } from 'vitest';
import { assessArgs, assessLog, csvOf, PIECE, rowsOf } from './assess-run.ts';

const rows = rowsOf(1800, 60, () => 60);
const good = csvOf(rows);
const body = (head: string, line: (s: number, i: number) => string) =>
  `${head}\n${rows.map(([s], i) => line(s, i)).join('\n')}\n`;

interface Case {
  readonly what: string;
  readonly log: string | Uint8Array;
  readonly flags?: readonly string[];
  readonly says: RegExp;
}

const logs: readonly Case[] = [
  { what: 'an empty file', log: '', says: /the file is empty/ },
  { what: 'blanks alone', log: ' \n\t\n \n', says: /holds only blanks/ },
  {
    what: 'a picture',
    log: Buffer.from('89504e470d0a1a0a0000000d4948445200000001', 'hex'),
    says: /not text/,
  },
  {
    what: 'a workbook',
    log: Buffer.concat([Buffer.from('PK\u0003\u0004'), deflateSync(good)]),
    says: /not text|no log/,
  },
  {
    what: 'prose',
    log: 'It was a cold night.\nThe lamb went in late.\n',
    says: /this is no log: no line has two cells/,
  },
  { what: 'a header alone', log: 'time,bath_c\n', says: /no row of readings after the header in line 1/ },
  { what: 'one row', log: 'time,bath_c\n0,60\n', says: /one moment only/ },
  { what: 'one moment told twice', log: 'time,bath_c\n0,60\n0,60\n', says: /one moment only/ },
  {
    what: 'a quotation mark that is never closed',
    log: `time,bath_c\n0,60\n60,"60\n120,60\n`,
    says: /quotation mark is never closed: line 3 has an odd number of them/,
  },
  {
    what: 'no time',
    log: body('set_c,bath_c', () => '60,60'),
    says: /no column is known as the time\. The columns are 1 "set_c", 2 "bath_c"/,
  },
  {
    what: 'no bath among three columns',
    log: body('time,a,b', (s) => `${s},60,61`),
    says: /no column is known as the bath\. The columns are 1 "time", 2 "a", 3 "b"\. Name it with --bath-column/,
  },
  {
    what: 'two columns that could be the bath',
    log: body('time,bath1 bath_c,bath_c', (s) => `${s},60,60`),
    says: /2 columns could be the bath: 2 "bath1 bath_c", 3 "bath_c"\. Choose one with --bath-column/,
  },
  {
    what: 'three columns without a header',
    log: body('', (s) => `${s},60,21`).trimStart(),
    flags: ['--unit', 'C'],
    says: /no column is known as the time/,
  },
  {
    what: 'a column that is not there',
    log: good,
    flags: ['--bath-column', '3'],
    says: /--bath-column "3" is no column of this log\. The columns are 1 "time", 2 "bath_c"/,
  },
  {
    what: 'a name that is not there',
    log: good,
    flags: ['--time-column', 'when'],
    says: /--time-column "when" is no column/,
  },
  {
    what: 'a name that is there twice',
    log: body('time,t,t', (s) => `${s},60,61`),
    flags: ['--bath-column', 't'],
    says: /names 2 columns\. Give its number: 2 or 3/,
  },
  { what: 'one column for both', log: good, flags: ['--time-column', '2'], says: /are the same column/ },
  {
    what: 'decimal commas among commas',
    log: body('time,bath_c', (s) => `${s},60,5`),
    says: /rows have 3 cells, the header names 2\. If numbers are written with a decimal comma, cells must be separated by semicolons/,
  },
  {
    what: 'points and commas for decimals',
    log: body('time;bath_c', (s, i) => `${s};60${i === 7 ? ',' : '.'}5`),
    says: /line 2, column 2 "bath_c" holds "60\.5" and line 9, column 2 "bath_c" holds "60,5"/,
  },
  {
    what: 'a bath of 165 C',
    log: body('time,bath_c', (s, i) => `${s},${i === 4 ? 165 : 150}`),
    says: /line 2, column 2 "bath_c" holds 150 C .* 150 F is 65\.6 C: if the log is in F, name the column bath_f or give --unit F/,
  },
  {
    what: 'one impossible temperature',
    log: body('time,bath_c', (s, i) => `${s},${i === 4 ? 999.9 : 60}`),
    says: /line 6, column 2 "bath_c" holds 999\.9 C .* leave that cell blank/,
  },
  {
    what: 'a temperature under the coldest there is',
    log: body('time,bath_f', (s, i) => `${s},${i === 4 ? -500 : 140}`),
    says: /line 6, column 2 "bath_f" holds -500 F .* expected -40 to 216 F/,
  },
  {
    what: 'an impossible core',
    log: body('time,bath_c,core_c', (s) => `${s},60,300`),
    says: /column 3 "core_c" holds 300 C/,
  },
  {
    what: 'no unit, where it may be F',
    log: body('time,bath', (s) => `${s},140`),
    says: /holds 140, the hottest reading, and nothing says whether that is C or F\. Name the column bath_c or bath_f, or give --unit/,
  },
  {
    what: 'no unit, where either may be',
    log: body('time,bath', (s) => `${s},41`),
    says: /nothing says whether that is C or F/,
  },
  {
    what: 'mixed units',
    log: body('time,bath', (s, i) => `${s},${i < 20 ? '60 C' : '140 F'}`),
    says: /line 2, column 2 "bath" is in C and line 22, column 2 "bath" in F/,
  },
  {
    what: 'a cell against its header',
    log: body('time,bath_c', (s, i) => `${s},${i === 3 ? '140 F' : 60}`),
    says: /line 5, column 2 "bath_c" is in F, but the header "bath_c" says C/,
  },
  {
    what: 'a flag against the header',
    log: good,
    flags: ['--unit', 'F'],
    says: /--unit says F, but the header "bath_c" says C/,
  },
  {
    what: 'a flag against the cells',
    log: body('time,bath', (s) => `${s},60 C`),
    flags: ['--unit', 'F'],
    says: /--unit says F, but line 2, column 2 "bath" says C/,
  },
  {
    what: 'a bath of words',
    log: body('time,bath_c', (s) => `${s},warm`),
    says: /no row of readings|hold no number/,
  },
  {
    what: 'more unreadable rows than readable',
    log: body('time,bath_c', (s, i) => `${s},${i % 3 ? 'Err' : 60}`),
    says: /20 of 31 rows have no readable time and bath \(line 3, 4, 6, 7, 9 and 15 more\)/,
  },
  {
    what: 'a bath that cannot be read when the food goes in',
    log: body('time,bath_c', (s, i) => `${s},${i < 10 ? 'Err' : 60}`),
    says: /the bath cannot be read before line 12, 10 min after the log begins/,
  },
  { what: 'times of words', log: body('time,bath_c', () => 'night,60'), says: /no time|no row of readings/ },
  {
    what: 'some times with a zone and some without',
    log: body(
      'time,bath_c',
      (s, i) => `2026-10-03T06:${String(s / 60).padStart(2, '0')}:00${i > 9 ? 'Z' : ''},60`,
    ),
    says: /line 12, column 1 "time" names its time zone, line 2, column 1 "time" does not/,
  },
  {
    what: 'day and month in doubt over two days',
    log: body(
      'time,bath_c',
      (s) => `${s < 900 ? '03' : '04'}/10/2026 06:${String(s / 60).padStart(2, '0')}:00,60`,
    ),
    says: /which is the day and which the month cannot be told\. Write dates as year-month-day/,
  },
  {
    what: 'h:mm or m:ss',
    log: body('time,bath_c', (s) => `${s / 60}:00,60`),
    says: /hours and minutes, or minutes and seconds/,
  },
  {
    what: 'seconds and milliseconds since 1970',
    log: body('time,bath_c', (s, i) => `${(1_791_000_000 + s) * (i > 9 ? 1000 : 1)},60`),
    says: /line 2, column 1 "time" and line 12, column 1 "time" count time in different units/,
  },
  {
    what: 'days of a spreadsheet',
    log: body('time,bath_c', (s) => `${46_298.25 + s / 86_400},60`),
    says: /the days of a spreadsheet, or seconds/,
  },
  {
    what: 'a clock that woke in 1970',
    log: body(
      'time,bath_c',
      (s, i) => `${i < 3 ? '1970-01-01' : '2026-10-03'}T06:${String(s / 60).padStart(2, '0')}:00Z,60`,
    ),
    says: /the log spans \d+ days; expected at most 30\. The largest step is between line 4 and line 5: was the clock set there/,
  },
  {
    what: 'a counter that began again',
    log: `${good}${rows.map(([s]) => `${s},${20 + s / 100}`).join('\n')}\n`,
    says: /times start again near line 33.*Two logs in one file/,
  },
  {
    what: 'a counter that began again at uneven times',
    log: `${good}${rows.map(([s]) => `${s + 17},30`).join('\n')}\n`,
    says: /times start again near line 33/,
  },
  {
    what: 'two sensors in one column',
    log: body('time,bath_c', (s) => `${s},60\n${s},21`),
    says: /31 rows have the time of another row but another temperature \(line 3, 5, 7, 9, 11 and 26 more\)/,
  },
];

describe('a log that cannot be read is refused with exit code 2, with what was wrong, where, and how to mend it', () => {
  it.each(logs)('$what', async ({ log, flags = [], says }) => {
    const said = await assessLog(log, ...flags);
    expect(said.err).toMatch(says);
    expect(said).toMatchObject({ code: 2, out: '' });
    expect(said.err).toMatch(/^(?:bathkeeper assess: .*\n)+$/);
  });

  it('a file that is not there, or a folder', async () => {
    for (const path of ['/nowhere/log.csv', '/tmp']) {
      const said = await assessArgs(path, ...PIECE);
      expect(said).toMatchObject({ code: 2, out: '' });
      expect(said.err).toContain(`the log "${path}" cannot be read`);
    }
  });
});

import { parse } from 'csv-parse/sync';
import { describe, expect, it } from 'vitest';
import { cookCsvMetadata } from '../../controller/journal/csv-metadata.ts';
import { cookCsv, cookJson, exportPoint } from '../../controller/journal/export.ts';
import { openJournal } from '../../controller/journal/journal.ts';
import { type JournalReader, openReader } from '../../controller/journal/reader.ts';
import { cookExportSchema } from '../../shared/wire/export.ts';
import type { TickRecord } from '../../shared/wire/record.ts';
import { BAGS, bagRow, COOK_ID, cookOf, cookRow, options, START_MS, tick } from './journal-fixture.ts';
import { ownFolder } from './journal-folder.ts';

/** Runs against the log of those records, each list written by a run of the controller of its own. */
async function withLog(runs: readonly TickRecord[][], use: (reader: JournalReader) => Promise<void>) {
  const folder = ownFolder();
  for (const [n, records] of runs.entries()) {
    const journal = await openJournal(options(folder, { bootId: `boot-${n}` }));
    for (const record of records) journal.write(record);
    await journal.close();
  }
  const reader = await openReader(options(folder).path);
  await use(reader).finally(() => reader.close());
}

async function whole(pieces: AsyncIterable<string>): Promise<string> {
  let text = '';
  for await (const piece of pieces) text += piece;
  return text;
}

const jsonOf = async (reader: JournalReader) =>
  cookExportSchema.parse(JSON.parse(await whole(cookJson(reader, COOK_ID))));

describe('the CSV export', () => {
  it('read again gives every sample of the journal, digit for digit, and nothing else', async () => {
    const records = cookOf(2500);
    await withLog([records], async (reader) => {
      const text = await whole(cookCsv(reader, COOK_ID));
      const rows: Record<string, string>[] = parse(text, { columns: true });
      const number = (cell: string | undefined) => (cell === '' || cell === undefined ? null : Number(cell));
      const read = rows.map((row) => ({
        sequence: number(row.sequence),
        wallMs: Date.parse(row.time ?? ''),
        bathC: number(row.bath_c),
        setpointC: number(row.setpoint_c),
        duty: number(row.duty_ratio),
        bags: BAGS.filter((bagId) => row[`${bagId}_core_c`] !== '').map((bagId) => ({
          bagId,
          coreC: number(row[`${bagId}_core_c`]),
          coldC: number(row[`${bagId}_core_cold_c`]),
          hotC: number(row[`${bagId}_core_hot_c`]),
          log10: number(row[`${bagId}_lethality_log10`]),
        })),
      }));
      expect(read).toEqual(records.map(({ sample }) => sample));
    });
  });

  it('is RFC 4180: CRLF after every record, a header, as many fields in each, quotes doubled, lines within quotes', async () => {
    await withLog([cookOf(60)], async (reader) => {
      const text = await whole(cookCsv(reader, COOK_ID));
      // The parser is told to accept nothing but RFC 4180, sections 2.1 to 2.7: CRLF only, strict quotes,
      // the same number of fields everywhere.
      const rows: string[][] = parse(text, {
        recordDelimiter: '\r\n',
        relaxQuotes: false,
        relaxColumnCount: false,
      });
      expect(rows.length).toBe(61);
      expect(text.endsWith('\r\n')).toBe(true);
      expect(text.charCodeAt(0)).toBe('t'.charCodeAt(0)); // no byte order mark before "time"
      expect(rows[0]?.slice(0, 6)).toEqual([
        'time',
        'sequence',
        'bath_c',
        'setpoint_c',
        'duty_ratio',
        'notes',
      ]);
      for (const row of rows.slice(1)) expect(row[0]).toMatch(/^2026-10-03T06:\d\d:\d\d\.\d{3}Z$/); // ISO 8601, UTC
    });
  });

  it('takes the sting out of text that a spreadsheet would run, and leaves negative numbers alone', async () => {
    const by = '=HYPERLINK("http://example.invalid";"x")';
    const command = { kind: 'stop-heat', id: 'c9', by } as const;
    const result = { id: 'c9', accepted: true, code: null, detail: null };
    const events = [',x', '@x', '\tx', "'x", '-1', '+1', 'plain, "quoted"\nline'].map((text, n) => ({
      ...tick(n + 2, { bathC: -1.5 }),
      events: [{ sequence: n + 2, wallMs: 0, cookId: COOK_ID, kind: 'note', text, data: {} }],
    }));
    const records = [tick(1, { cook: cookRow(), commands: [{ command, result }] }), ...events];
    await withLog([records], async (reader) => {
      const rows: Record<string, string>[] = parse(await whole(cookCsv(reader, COOK_ID)), { columns: true });
      // OWASP, CSV injection: cells that begin with = + - @, tab or carriage return.
      expect(rows.map(({ notes }) => notes)).toEqual([
        `'${by}: stop-heat, accepted`,
        ',x',
        "'@x",
        "'\tx",
        "''x",
        "'-1",
        "'+1",
        'plain, "quoted"\nline',
      ]);
      expect(rows[1]?.bath_c).toBe('-1.5');
    });
  });

  it('leaves gaps as gaps: no row for a second that was not recorded, an empty cell where there was no reading', async () => {
    const kept = (n: number) => n < 20 || n >= 30;
    const records = cookOf(60)
      .filter((_record, n) => kept(n))
      .map((record) => (record.sample.sequence === 35 ? tick(35, { bathC: null, bagIds: BAGS }) : record));
    await withLog([records], async (reader) => {
      const rows: Record<string, string>[] = parse(await whole(cookCsv(reader, COOK_ID)), { columns: true });
      const expected = Array.from({ length: 60 }, (_, n) => n).filter(kept);
      expect(rows.map(({ sequence }) => Number(sequence))).toEqual(expected.map((n) => n + 1));
      expect(rows.find(({ sequence }) => sequence === '35')?.bath_c).toBe('');
    });
  });
});

describe('the CSV-on-the-Web description', () => {
  it('names every column of the CSV in order, with datatype and unit, in the terms of the W3C Recommendation', async () => {
    await withLog([cookOf(60)], async (reader) => {
      const metadata = JSON.parse(await cookCsvMetadata(reader, COOK_ID, 'export.csv'));
      const [header]: string[][] = parse(await whole(cookCsv(reader, COOK_ID)), { to: 1 });
      // "Metadata Vocabulary for Tabular Data", W3C Recommendation 17 December 2015, sections "Top-Level
      // Properties" (@context), "Tables" (url, tableSchema), "Schemas" (columns, primaryKey).
      expect(metadata['@context'][0]).toBe('http://www.w3.org/ns/csvw');
      expect(metadata.url).toBe('export.csv');
      const { columns, primaryKey } = metadata.tableSchema;
      expect(columns.map(({ titles }: { titles: string }) => titles)).toEqual(header);
      const names: string[] = columns.map(({ name }: { name: string }) => name);
      expect(new Set(names).size).toBe(names.length);
      // Section "Columns": a name is a variable name of a URI template (RFC 6570, section 2.3) that does not
      // begin with _; the titles are those of the header.
      for (const name of names)
        expect(name).toMatch(/^(?:[A-Za-z0-9]|%[0-9A-F]{2})(?:[A-Za-z0-9_.]|%[0-9A-F]{2})*$/);
      expect(names).toContain(primaryKey);
      for (const { titles, datatype, 'schema:unitCode': unit } of columns) {
        // Section "Built-in Datatypes".
        expect(['dateTimeStamp', 'integer', 'double', 'string']).toContain(datatype);
        if (titles.endsWith('_c')) expect(unit).toBe('CEL');
      }
    });
  });

  it('names every bag by what people called it, exactly', async () => {
    await withLog([cookOf(60)], async (reader) => {
      const metadata = JSON.parse(await cookCsvMetadata(reader, COOK_ID, 'x.csv'));
      const described = metadata.tableSchema.columns.map(
        (column: Record<string, string>) => column['dc:description'],
      );
      for (const bagId of BAGS) {
        expect(described).toContainEqual(
          expect.stringContaining(`=Piece "${bagId}",\nleft (lamb-shoulder, 62.5 mm)`),
        );
      }
      expect(metadata['dc:title']).toBe(cookRow().name);
    });
  });
});

describe('what goes with the CSV', () => {
  it('says who, what, lots, weights, probes, rules, gaps and the head of the chain, each with how it came to be', async () => {
    const all = cookOf(120).filter(({ sample }) => sample.sequence < 60 || sample.sequence > 90);
    const at = all.findIndex(({ sample }) => sample.sequence === 50);
    const bag = bagRow(BAGS[0], { lot: 'L-204', supplier: 'Upper Alp farm', cure: 'salt 1.5 %' });
    all[at] = { ...all[at]!, bags: [bag] };
    await withLog([all], async (reader) => {
      const metadata = JSON.parse(await cookCsvMetadata(reader, COOK_ID, 'x.csv'));
      const facts = metadata.notes as { claim: string; origin: string; value: unknown }[];
      const of = (claim: string) => facts.find((fact) => fact.claim === claim);
      for (const { origin } of facts) expect(['measured', 'modelled', 'stated', 'noted']).toContain(origin);
      expect(of(`${BAGS[0]}: lot`)).toMatchObject({ origin: 'stated', value: 'L-204' });
      expect(of(`${BAGS[0]}: supplier`)?.value).toBe('Upper Alp farm');
      expect(of(`${BAGS[0]}: cure`)?.value).toBe('salt 1.5 %');
      expect(of(`${BAGS[0]}: weight, kg`)?.value).toBe(1.9);
      expect(of(`${BAGS[0]}: core at the end, °C`)?.origin).toBe('modelled');
      expect(of('code and models')?.value).toBe('0.1.0+test');
      expect(of('gap, not-recorded')?.value).toMatch(/31 ticks are not in the log/);
      expect(of('SHA-256 chain, last link')?.value).toMatch(/^[0-9a-f]{64}$/);
    });
  });
});

describe('the JSON export', () => {
  it('read again equals the journal: cook, bags, commands, events, alarms and every sample, names exactly as written', async () => {
    const records = cookOf(2500);
    await withLog([records], async (reader) => {
      const read = await jsonOf(reader);
      expect(read.samples).toEqual(records.map(({ sample }) => sample));
      expect(read.events).toEqual(records.flatMap(({ events }) => events));
      expect(read.alarms).toEqual(records.flatMap(({ alarms }) => alarms));
      expect(read.commands.map(({ command, result }) => ({ command, result }))).toEqual(
        records.flatMap(({ commands }) => commands),
      );
      expect(read.commands[0]?.command.by).toBe('+Ана "the cook"');
      expect(read.cook).toEqual(records.at(-1)?.cook);
      expect(read.bags).toEqual((await reader.cook(COOK_ID)).bags);
      expect(read.runs.map(({ bootId }) => bootId)).toEqual(['boot-0']);
      expect(read.gaps).toEqual([]);
      expect(read.throughSequence).toBe(2500);
    });
  });

  it('names each gap, its ends and its reason: away, late, not recorded, no reading; and a clock that was set', async () => {
    const at = (sequence: number, wallS: number, monotonicS: number, bathC?: null) =>
      tick(sequence, {
        wallMs: START_MS + wallS * 1000,
        monotonicMs: monotonicS * 1000,
        ...(bathC === null ? { bathC } : {}),
      });
    const first = [
      { ...at(1, 1, 1), cook: cookRow() },
      at(2, 2, 2),
      at(3, 3, 3, null), // the probe is silent for two ticks
      at(4, 4, 4, null),
      at(5, 5, 5),
      at(6, 12, 12), // a late tick
      at(7, 13, 13),
      at(9, 15, 15), // one was left out
      at(10, 616, 16), // the clock was set ten minutes on
    ];
    const second = [at(11, 700, 0.5), at(12, 701, 1.5, null)];
    await withLog([first, second], async (reader) => {
      const { gaps } = await jsonOf(reader);
      expect(
        gaps.map(({ kind, afterSequence, beforeSequence }) => [kind, afterSequence, beforeSequence]),
      ).toEqual([
        ['no-reading', 2, 5],
        ['missed-ticks', 5, 6],
        ['not-recorded', 7, 9],
        ['clock-step', 9, 10],
        ['away', 10, 11],
        ['no-reading', 11, 12],
      ]);
      expect(gaps[0]).toMatchObject({ fromMs: START_MS + 2000, toMs: START_MS + 5000, wallTrusted: true });
      expect(gaps[0]?.reason).toContain('(absent)');
      expect(gaps[3]?.reason).toContain('by 600 s');
    });
  });

  it('covers what was committed when it began, also while the cook goes on, and its parts agree', async () => {
    const folder = ownFolder();
    const journal = await openJournal(options(folder));
    const records = cookOf(3000);
    for (const record of records.slice(0, 1500)) journal.write(record);
    await journal.flush();
    const reader = await openReader(options(folder).path);
    const point = await exportPoint(reader, COOK_ID);
    for (const record of records.slice(1500)) journal.write(record);
    await journal.flush();
    const read = cookExportSchema.parse(JSON.parse(await whole(cookJson(reader, COOK_ID, point))));
    expect(read.throughSequence).toBe(1500);
    expect(read.samples.at(-1)?.sequence).toBe(1500);
    for (const { sequence } of [...read.events, ...read.alarms, ...read.commands]) {
      expect(sequence).toBeLessThanOrEqual(1500);
    }
    const rows: string[][] = parse(await whole(cookCsv(reader, COOK_ID, point)));
    expect(rows.length).toBe(1501);
    await reader.close();
    await journal.close();
  });

  it('holds one page of samples at a time, however long the cook: none is fetched before the last was taken', async () => {
    await withLog([cookOf(5500)], async (reader) => {
      let fetched = 0;
      const counting: JournalReader = {
        ...reader,
        samples: (...asked) => {
          fetched += 1;
          return reader.samples(...asked);
        },
      };
      for (const pieces of [cookCsv(counting, COOK_ID), cookJson(counting, COOK_ID)]) {
        fetched = 0;
        let taken = 0;
        for await (const piece of pieces) {
          expect(fetched).toBeLessThanOrEqual(taken + 1);
          expect(piece.length).toBeLessThan(1_000_000);
          taken += 1;
        }
        expect(fetched).toBeGreaterThanOrEqual(6);
      }
    });
  });

  it('refuses a cook that is not in the log', async () => {
    await withLog([cookOf(20)], async (reader) => {
      for (const pieces of [cookJson(reader, 'none'), cookCsv(reader, 'none')]) {
        await expect(whole(pieces)).rejects.toMatchObject({ code: 'cook-unknown' });
      }
    });
  });
});

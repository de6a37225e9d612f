import { createHash } from 'node:crypto';
import { readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import Database from 'better-sqlite3';
import { describe, expect, it } from 'vitest';
import { verifyVerb } from '../../controller/cli/verify.ts';
import { linkOf } from '../../controller/journal/chain.ts';
import { unpackText } from '../../controller/journal/codec.ts';
import { cookJson } from '../../controller/journal/export.ts';
import { openJournal } from '../../controller/journal/journal.ts';
import { migrate } from '../../controller/journal/migrate.ts';
import { Queries } from '../../controller/journal/queries.ts';
import { openReader } from '../../controller/journal/reader.ts';
import { MIGRATIONS } from '../../controller/journal/schema.ts';
import type { Checked } from '../../controller/journal/tier-check.ts';
import { type VerifyReport, verifyLog } from '../../controller/journal/verify.ts';
import { verifyExport } from '../../controller/journal/verify-export.ts';
import { COOK_ID, cookOf, options, tick } from './journal-fixture.ts';
import { ownFolder } from './journal-folder.ts';
import { random } from './journal-random.ts';

const TICKS = 700;

/** A log of two runs: idle ticks, a cook with everything in it and a snapshot, idle ticks, a second cook. */
async function recorded(): Promise<string> {
  const folder = ownFolder();
  const first = await openJournal(options(folder));
  for (let n = 1; n <= 5; n += 1) first.write(tick(n, { cookId: null }));
  for (const record of cookOf(TICKS, 6).slice(0, 100)) first.write(record);
  first.snapshot(105, '{"state":"early"}');
  await first.flush();
  for (const record of cookOf(TICKS, 6).slice(100, 400)) first.write(record);
  first.snapshot(400, '{"state":"whole","temperature":68.25}');
  await first.close();
  const second = await openJournal(options(folder, { bootId: 'boot-2' }));
  for (const record of cookOf(TICKS, 6).slice(400)) second.write(record);
  for (const record of cookOf(60, TICKS + 6, 'second')) second.write(record);
  await second.close();
  return options(folder).path;
}

/** On this thread, for a worker a time would be slow; the verb's own tests use the worker. */
async function verify(path: string, cookId: string | null = COOK_ID): Promise<VerifyReport> {
  const db = new Database(path, { readonly: true });
  const queries = new Queries(db);
  const reader: Checked = {
    links: async (after, through, limit) => queries.links({ after, through, limit }),
    chainRange: async (id) => queries.chainRange(id),
    keptTiers: async (id, widthS) => queries.keptTiers({ cookId: id, widthS }),
    samples: async (id, after, limit) =>
      queries.samples({ cookId: id, after, limit, through: Number.MAX_SAFE_INTEGER }),
    cooks: async () => queries.cooks(),
  };
  return verifyLog(reader, cookId).finally(() => db.close());
}

async function exported(path: string): Promise<string> {
  const reader = await openReader(path);
  let text = '';
  for await (const piece of cookJson(reader, COOK_ID)) text += piece;
  await reader.close();
  return text;
}

/** Where a row kind is kept: its table, the column with what it says, and what picks a row of the first cook. */
const KINDS = [
  { kind: 'sample', table: 'tick', column: 'sample', where: 'cook = 1' },
  { kind: 'input', table: 'tick', column: 'input', where: 'cook = 1' },
  { kind: 'link', table: 'tick', column: 'link', where: 'cook = 1' },
  { kind: 'cook row', table: 'cook_version', column: 'row', where: 'cook = 1' },
  { kind: 'bag row', table: 'bag_version', column: 'row', where: 'cook = 1' },
  { kind: 'event row', table: 'event', column: 'row', where: 'cook = 1' },
  { kind: 'alarm row', table: 'alarm', column: 'row', where: 'cook = 1' },
  { kind: 'command row', table: 'command', column: 'row', where: 'cook = 1' },
  { kind: 'state kept', table: 'snapshot', column: 'state', where: 'cook = 1' },
  { kind: 'run', table: 'run', column: 'config_json', where: 'run = 2' },
  { kind: 'summary', table: 'tier', column: 'row', where: 'cook = 1' },
] as const;

/** Changes one byte of one row, and gives the tick that the row belongs to. */
function tamper(path: string, { table, column, where }: (typeof KINDS)[number], next: () => number): number {
  const db = new Database(path);
  // A state is sealed by the tick after it, a run by its first tick.
  const at = { snapshot: 'after_sequence + 1', run: 'after_sequence + 1', tier: 'first_sequence' };
  const place = at[table as keyof typeof at] ?? 'sequence';
  const rows = db
    .prepare(`SELECT ${place} AS at, ${column} AS content, * FROM ${table} WHERE ${where}`)
    .all() as {
    at: number;
    content: string | Uint8Array;
    [key: string]: unknown;
  }[];
  const row = rows[Math.floor(next() * rows.length)]!;
  const bytes = Buffer.from(row.content);
  const position = Math.floor(next() * bytes.length);
  const text = typeof row.content === 'string';
  // In text another letter or digit, so that it stays text; in packed bytes one bit.
  bytes[position] = text
    ? bytes[position] === 0x37
      ? 0x38
      : 0x37
    : bytes[position]! ^ (1 << Math.floor(next() * 8));
  const keys = db.pragma(`table_info(${table})`) as { name: string; pk: number }[];
  const key = keys.filter(({ pk }) => pk > 0).map(({ name }) => name);
  db.prepare(`UPDATE ${table} SET ${column} = ? WHERE ${key.map((name) => `${name} = ?`).join(' AND ')}`).run(
    text ? bytes.toString('latin1') : bytes,
    ...key.map((name) => row[name]),
  );
  db.close();
  return row.at;
}

function summaries(path: string): string {
  const db = new Database(path, { readonly: true });
  const rows = db.prepare('SELECT row FROM tier').pluck().all() as Uint8Array[];
  db.close();
  return rows.map(readable).join('\n');
}

function readable(packed: Uint8Array): string {
  try {
    return unpackText(packed);
  } catch {
    return 'not readable';
  }
}

function sameJson(text: string, whole: string): boolean {
  try {
    return JSON.stringify(JSON.parse(text)) === whole;
  } catch {
    return false;
  }
}

describe('the chain', () => {
  it('is SHA-256 over length-prefixed parts: a link worked out by hand is the same', () => {
    // FIPS 180-4 through OpenSSL; each part after its length as four bytes, most significant first.
    const part = (bytes: Buffer) => Buffer.concat([Buffer.of(0, 0, 0, bytes.length), bytes]);
    const [before, leaf] = [Buffer.alloc(32, 1), Buffer.alloc(32, 2)];
    const whole = Buffer.concat([part(before), part(Buffer.from('12')), part(leaf)]);
    const expected = createHash('sha256').update(whole).digest('hex');
    expect(Buffer.from(linkOf(before, 12, [leaf])).toString('hex')).toBe(expected);
  });

  it('agrees with an untouched record, from the log, from the whole log and from the exported file, with one head', async () => {
    const path = await recorded();
    const log = await verify(path);
    expect(log).toMatchObject({
      breaks: 0,
      unchained: 0,
      ticks: TICKS,
      firstSequence: 6,
      throughSequence: TICKS + 5,
    });
    expect(await verify(path, null)).toMatchObject({ breaks: 0, ticks: TICKS + 65 });
    const file = verifyExport(await exported(path), log.head);
    expect(file).toMatchObject({ breaks: 0, ticks: TICKS, head: log.head, headFoundAt: TICKS + 5 });
  });

  it.each(KINDS)(
    'finds and places one changed byte of a $kind, whichever it is (12 seeds)',
    async (kind) => {
      const sound = readFileSync(await recorded());
      const folder = ownFolder();
      const path = join(folder, 'journal.sqlite');
      for (let seed = 1; seed <= 12; seed += 1) {
        writeFileSync(path, sound);
        const before = summaries(path);
        const at = tamper(path, kind, random(seed));
        // Unused bits at the end of packed bytes say nothing; of a summary only what it says is held to the samples.
        if (kind.kind === 'summary' && summaries(path) === before) continue;
        const report = await verify(path);
        expect([seed, report.breaks > 0]).toEqual([seed, true]);
        expect([seed, report.shown[0]?.sequence, report.shown[0]?.row]).toEqual([
          seed,
          at,
          // Where only the packing of a sample was changed and not what it says, the tick's bytes as stored are named.
          expect.stringMatching(kind.kind === 'sample' ? /sample|input/ : kind.kind),
        ]);
      }
    },
    120_000,
  );

  it('finds a tick or a row that was taken out, and one that was put in', async () => {
    const sound = readFileSync(await recorded());
    const path = join(ownFolder(), 'journal.sqlite');
    const after = async (sql: string) => {
      writeFileSync(path, sound);
      const db = new Database(path);
      db.exec(sql);
      db.close();
      return (await verify(path)).shown[0];
    };
    expect(await after('DELETE FROM tick WHERE sequence = 300')).toMatchObject({ sequence: 301 });
    const alarm = (await after('DELETE FROM alarm'))?.why;
    expect(alarm).toContain('taken out or put in');
    const put = 'INSERT INTO event SELECT cook, 222, 0, row FROM event WHERE cook = 1 LIMIT 1';
    expect(await after(put)).toMatchObject({ sequence: 222, row: 'tick 222' });
    expect(await after('UPDATE tick SET link = NULL WHERE sequence = 300')).toMatchObject({
      sequence: 300,
      why: 'it is gone',
    });
    expect((await after('UPDATE cook SET first_sequence = 100 WHERE cook = 1'))?.row).toContain(
      'range of cook',
    );
    expect((await after('UPDATE tick SET wall_ms = wall_ms + 1 WHERE sequence = 300'))?.sequence).toBe(300);
  });

  it('finds and places one changed byte anywhere in the exported file (400 seeds)', async () => {
    const sound = Buffer.from(await exported(await recorded()));
    const whole = JSON.stringify(JSON.parse(sound.toString()));
    for (let seed = 1; seed <= 400; seed += 1) {
      const next = random(seed);
      const bytes = Buffer.from(sound);
      const position = Math.floor(next() * bytes.length);
      bytes[position] = bytes[position] === 0x37 ? 0x38 : 0x37;
      const text = bytes.toString();
      let found: string;
      // A digit may vanish in the rounding of a number: then the file says the same.
      if (sameJson(text, whole)) continue;
      try {
        const report = verifyExport(text);
        expect([seed, report.breaks > 0]).toEqual([seed, true]);
        found = report.shown[0]?.row ?? '';
      } catch (error) {
        found = (error as Error).message;
      }
      expect([seed, found]).toEqual([
        seed,
        expect.stringMatching(/tick \d+|the cook|the bags|head of the chain|the file is not/),
      ]);
    }
  });

  it('names the sample of the second whose temperature was changed in the file, and a bag whose weight was', async () => {
    const text = await exported(await recorded());
    const document = JSON.parse(text);
    document.samples[123].bathC += 0.1;
    expect(verifyExport(JSON.stringify(document)).shown[0]).toMatchObject({
      sequence: document.samples[123].sequence,
      row: `the sample of tick ${document.samples[123].sequence}`,
    });
    const bag = JSON.parse(text);
    bag.bagVersions[1].row.massKg = 1.2;
    expect(verifyExport(JSON.stringify(bag)).shown[0]?.row).toContain('the bag row (number 2 of the file)');
    const gap = JSON.parse(text);
    gap.gaps = [];
    expect(verifyExport(JSON.stringify(gap)).shown[0]?.row).toContain('the gaps');
  });

  it('goes on over ticks that were recorded before there was a chain, and says how many they are', async () => {
    const path = await recorded();
    const db = new Database(path);
    // As the first schema left it: no links, and no tables of the second.
    db.exec(`ALTER TABLE tick DROP COLUMN link; ALTER TABLE snapshot DROP COLUMN after_sequence; DROP TABLE pruned;
      DELETE FROM meta; PRAGMA user_version = 1`);
    expect(migrate(db, MIGRATIONS)).toBe(MIGRATIONS.length);
    db.close();
    const journal = await openJournal(options(join(path, '..'), { bootId: 'boot-3' }));
    for (const record of cookOf(50, TICKS + 66, 'third')) journal.write(record);
    await journal.close();
    expect(await verify(path, null)).toMatchObject({ breaks: 0, unchained: TICKS + 65, ticks: 50 });
    expect(await verify(path, 'third')).toMatchObject({ breaks: 0, unchained: 0, ticks: 50 });
  });
});

describe('bathkeeper verify', () => {
  async function run(...argv: string[]) {
    const said = { out: '', err: '' };
    const code = await verifyVerb(argv, {
      out: (text) => {
        said.out += text;
      },
      err: (text) => {
        said.err += text;
      },
    });
    return { code, ...said };
  }

  it('says that record and chain agree, or where they part, from the log and from a file, and by the exit code', async () => {
    const path = await recorded();
    const data = join(path, '..');
    const good = await run(COOK_ID, '--data', data);
    expect(good).toMatchObject({ code: 0, err: '' });
    expect(good.out).toMatch(/Record and chain agree\.\nHead: [0-9a-f]{64}\n$/);
    const head = good.out.match(/[0-9a-f]{64}/)?.[0] ?? '';
    expect((await run('--data', data, '--head', head)).out).toContain(`that of tick ${TICKS + 5}`);
    const file = join(data, 'cook.json');
    writeFileSync(file, await exported(path));
    expect(JSON.parse((await run(file, '--json')).out)).toMatchObject({ sound: true, source: 'export' });
    expect((await run(file, '--head', '0'.repeat(64))).code).toBe(1);
    tamper(path, KINDS[0], random(1));
    const bad = await run('last', '--data', data);
    expect(bad.code).toBe(0); // the second cook was not touched
    const first = await run(COOK_ID, '--data', data);
    expect(first.code).toBe(1);
    expect(first.out).toMatch(/PARTED at tick \d+: the sample of tick/);
  });

  it.each([
    ['an unknown cook', ['none'], 'no cook "none"'],
    ['two names', ['a', 'b'], '2 names were given'],
    ['a head that is none', ['a', '--head', '12'], '--head takes the 64 hexadecimal digits'],
    ['a file that is not there', ['nowhere.json'], 'nowhere.json cannot be read'],
  ])('refuses %s with exit code 2', async (_what, argv, said) => {
    const result = await run(...argv, '--data', join(await recorded(), '..'));
    expect(result).toMatchObject({ code: 2, out: '' });
    expect(result.err).toContain(said);
  });
});

import { createHash } from 'node:crypto';
import { readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import Database from 'better-sqlite3';
import { describe, expect, it } from 'vitest';
import { linkOf } from '../../controller/journal/chain.ts';
import { openJournal } from '../../controller/journal/journal.ts';
import { migrate } from '../../controller/journal/migrate.ts';
import { MIGRATIONS } from '../../controller/journal/schema.ts';
import { verifyExport } from '../../controller/journal/verify-export.ts';
import {
  exported,
  KINDS,
  recorded,
  sameJson,
  summaries,
  TICKS,
  tamper,
  verify,
} from './journal-chain-kit.ts';
import { cookOf, options } from './journal-fixture.ts';
import { ownFolder } from './journal-folder.ts';
import { random } from './journal-random.ts';

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

import { createHash } from 'node:crypto';
import { readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import Database from 'better-sqlite3';
import { describe, expect, it } from 'vitest';
import { loadDriver } from '../../controller/journal/driver.ts';
import { openJournal } from '../../controller/journal/journal.ts';
import { migrate, SCHEMA_NUMBER } from '../../controller/journal/migrate.ts';
import { openReader } from '../../controller/journal/reader.ts';
import { MIGRATIONS } from '../../controller/journal/schema.ts';
import { options } from './journal-fixture.ts';
import { ownFolder } from './journal-folder.ts';

const STEPS = [
  { number: 1, sql: 'CREATE TABLE a (x); INSERT INTO a VALUES (1);' },
  { number: 2, sql: 'ALTER TABLE a ADD COLUMN y; UPDATE a SET y = x + 1;' },
  { number: 3, sql: 'CREATE TABLE b (z); INSERT INTO b SELECT y + 1 FROM a;' },
];

describe('the schema', () => {
  it('is brought from any number to the newest, step by step, and the rows come along', () => {
    for (const from of [0, 1, 2, 3]) {
      const db = new Database(':memory:');
      expect(migrate(db, STEPS.slice(0, from))).toBe(from);
      expect(migrate(db, STEPS)).toBe(3);
      expect(db.prepare('SELECT x, y, z FROM a, b').all()).toEqual([{ x: 1, y: 2, z: 3 }]);
      db.close();
    }
  });

  it('stays at the last whole step when a step fails', () => {
    const db = new Database(':memory:');
    const broken = [
      ...STEPS.slice(0, 2),
      { number: 3, sql: 'CREATE TABLE b (z); INSERT INTO nowhere VALUES (1);' },
    ];
    expect(() => migrate(db, broken)).toThrow(/nowhere/);
    expect(db.pragma('user_version', { simple: true })).toBe(2);
    expect(db.prepare("SELECT name FROM sqlite_master WHERE name = 'b'").all()).toEqual([]);
    expect(migrate(db, STEPS)).toBe(3);
    db.close();
  });

  it('has steps numbered 1, 2, 3 and so on, and a step that was released never changes', () => {
    expect(MIGRATIONS.map(({ number }) => number)).toEqual(MIGRATIONS.map((_step, index) => index + 1));
    const prints = MIGRATIONS.map(({ sql }) => createHash('sha256').update(sql).digest('hex').slice(0, 16));
    expect(prints).toEqual(['5459ba040500d9a4', '34ba110f80657b17']);
  });
});

describe('opening a log', () => {
  it('refuses one written by newer code, says so and leaves it as it is', async () => {
    const { path } = options(ownFolder());
    await (await openJournal(options(join(path, '..')))).close();
    const db = new Database(path);
    db.pragma(`user_version = ${SCHEMA_NUMBER + 1}`);
    db.pragma('wal_checkpoint(TRUNCATE)');
    db.close();
    const before = readFileSync(path);
    const said = {
      code: 'journal-failed',
      detail: expect.stringContaining(`has schema ${SCHEMA_NUMBER + 1}, this version`),
    };
    await expect(openJournal(options(join(path, '..')))).rejects.toMatchObject(said);
    await expect(openReader(path)).rejects.toMatchObject(said);
    expect(readFileSync(path).equals(before)).toBe(true);
  });

  it('refuses the database of another program and leaves it as it is', async () => {
    const { path } = options(ownFolder());
    const db = new Database(path);
    db.exec('CREATE TABLE theirs (x); INSERT INTO theirs VALUES (1)');
    db.close();
    const before = readFileSync(path);
    const said = { code: 'journal-failed', detail: expect.stringContaining('database of another program') };
    await expect(openJournal(options(join(path, '..')))).rejects.toMatchObject(said);
    await expect(openReader(path)).rejects.toMatchObject(said);
    expect(readFileSync(path).equals(before)).toBe(true);
  });

  it('says which folder is none, and that there is no log to read', async () => {
    const folder = ownFolder();
    writeFileSync(join(folder, 'file'), '');
    const options_ = options(join(folder, 'file'));
    await expect(openJournal(options_)).rejects.toMatchObject({
      code: 'journal-failed',
      detail: expect.stringMatching(/open: .*file/),
    });
    await expect(openReader(join(folder, 'none.sqlite'))).rejects.toMatchObject({
      code: 'journal-unreadable',
      detail: expect.stringContaining('there is no log at'),
    });
  });

  it('says what to install where the SQLite library cannot be loaded', async () => {
    await expect(loadDriver('a-library-that-is-not-installed')).rejects.toMatchObject({
      code: 'database-missing',
      message: expect.stringContaining('npm rebuild better-sqlite3'),
    });
  });
});

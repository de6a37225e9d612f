import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import Database from 'better-sqlite3';
import { afterAll, describe, expect, it } from 'vitest';
import { codeVersion } from '../../controller/cli/version.ts';
import { pack, unpack } from '../../controller/journal/codec.ts';
import { openJournal } from '../../controller/journal/journal.ts';
import { openReader } from '../../controller/journal/reader.ts';
import { verifyTail } from '../../controller/journal/verify.ts';
import { replayCook } from '../../controller/replay.ts';
import type { TickInput } from '../../shared/wire/tick.ts';
import { endlessTick, options } from './journal-fixture.ts';
import { ownFolder } from './journal-folder.ts';
import { type RunningController, startProcess, until } from './process.ts';

const LAST = 'SELECT max(sequence) FROM snapshot';
/** Bytes of one row that no longer say anything, in a file that SQLite finds sound. */
const ROWS: Readonly<Record<string, string>> = {
  'an input after the last whole state': `UPDATE tick SET input = zeroblob(30) WHERE sequence = (${LAST}) + 5`,
  'the sample of the last tick':
    'UPDATE tick SET sample = zeroblob(30) WHERE sequence = (SELECT max(sequence) FROM tick)',
  'the last whole state': `UPDATE snapshot SET state = zeroblob(30) WHERE sequence = (${LAST})`,
};

async function logWith(sql: string): Promise<string> {
  const folder = ownFolder();
  const journal = await openJournal(options(folder));
  for (let n = 1; n <= 100; n += 1) {
    journal.write(endlessTick(n));
    if (n === 20 || n === 60) journal.snapshot(n, JSON.stringify({ at: n }));
    if (n % 20 === 0) await journal.flush();
  }
  await journal.close();
  change(options(folder).path, sql);
  return folder;
}

function change(path: string, sql: string): void {
  const db = new Database(path);
  expect(db.prepare(sql).run().changes).toBe(1);
  db.close();
}

describe('a row that cannot be read, in a file that SQLite finds sound', () => {
  for (const [words, sql] of Object.entries(ROWS)) {
    it(`is left out by a restart and named by the chain: ${words}`, async () => {
      const folder = await logWith(sql);
      const journal = await openJournal(options(folder, { bootId: 'after' }));
      journal.write(endlessTick(101));
      await journal.close();
      const reader = await openReader(options(folder).path);
      const found = await reader.resume();
      const state = words === 'the last whole state';
      expect(found.snapshot?.stateJson).toBe(JSON.stringify({ at: state ? 20 : 60 }));
      expect(found.lastSequence).toBe(101);
      expect(found.missing).toBe(words.startsWith('an input') ? 1 : 0);
      expect(found.inputs.length).toBe(101 - (found.snapshot?.sequence ?? 0) - found.missing);
      const named = await verifyTail(reader, found.snapshot?.sequence ?? 0);
      expect(named.map(({ row }) => row).join()).toMatch(
        state ? /state kept after tick 60/ : /tick (65|100)/,
      );
      await reader.close();
    });
  }
});

const folder = mkdtempSync(join(tmpdir(), 'bathkeeper-row-'));
let running: RunningController | null = null;
afterAll(async () => {
  await running?.kill();
  rmSync(folder, { recursive: true, force: true });
});

describe('a controller whose log holds such a row', () => {
  it('starts all the same, says so on the console, and the cook goes on', async () => {
    running = await startProcess(folder, ['--speed', '600']);
    await running.pair();
    await running.command({ kind: 'start-cook', cookId: 'hut-supper', name: 'Hut supper', setpointC: 68 });
    const samples = async () => {
      const answer = await running?.get('/api/cooks/hut-supper/export.json');
      const exported = (await answer?.json()) as { samples: unknown[] } | undefined;
      return exported?.samples.length ?? 0;
    };
    await until(async () => (await samples()) > 700, running.output);
    await running.kill();
    change(join(folder, 'simulated', 'journal.sqlite'), ROWS['the last whole state'] ?? '');
    running = await startProcess(folder, ['--speed', '600']);
    expect(running.output()).toMatch(/The record of tick \d+ is not sound: the state kept after tick \d+/);
    const before = await samples();
    await until(async () => (await samples()) > before + 60, running.output);
    expect(await running.stop()).toBe(0);
  }, 120_000);

  it('whose row can be read and is another, says so on the page and in the record, and can be replayed from there on', async () => {
    running = await startProcess(folder, ['--speed', '600']);
    await running.pair();
    const exported = async () =>
      (await (await running?.get('/api/cooks/hut-supper/export.json'))?.json()) as {
        samples: { sequence: number }[];
        alarms: { sequence: number; alarmId: string; detail: string }[];
      };
    const many = async (more: number) => {
      const before = (await exported()).samples.length;
      await until(
        async () => (await exported()).samples.length > before + more,
        () => '',
      );
    };
    await many(100);
    await running.kill();
    const db = new Database(join(folder, 'simulated', 'journal.sqlite'));
    const at = (db.prepare('SELECT max(sequence) FROM tick').pluck().get() as number) - 20;
    const input = unpack<TickInput>(
      db.prepare('SELECT input FROM tick WHERE sequence = ?').pluck().get(at) as Buffer,
    );
    const { bath } = input.readings;
    const readings = { ...input.readings, bath: { ...bath, celsius: (bath.celsius ?? 0) + 1 } };
    db.prepare('UPDATE tick SET input = ? WHERE sequence = ?').run(pack({ ...input, readings }), at);
    db.close();

    running = await startProcess(folder, ['--speed', '600']);
    expect(running.output()).toMatch(new RegExp(`tick ${at} is not sound: the input of tick ${at}`));
    await many(1300);
    const alarm = (await exported()).alarms.find(
      ({ alarmId, sequence }) => alarmId === 'log-damaged' && sequence > at,
    );
    expect(alarm?.detail).toMatch(/No lethality is credited for them, and growth is counted at its worst/);
    await running.kill();
    rmSync(join(folder, 'simulated', 'journal.sqlite-mark'));

    running = await startProcess(folder, ['--speed', '600']);
    expect(running.output()).toMatch(/mark beside the log is gone/);
    await many(60);
    const after = await exported();
    const unproved = after.alarms.find(({ alarmId }) => alarmId === 'log-unproved');
    expect(unproved?.detail).toMatch(/nothing is missing at its end cannot be shown/);
    expect(await running.stop()).toBe(0);

    // The changed row is a difference; the restart went on from a state that was kept, and so does the replay.
    const reader = await openReader(join(folder, 'simulated', 'journal.sqlite'));
    const restarted = alarm?.sequence ?? 0;
    const whole = await replayCook(reader, 'hut-supper', codeVersion(), at - 1);
    expect(whole.shown.some(({ sequence }) => sequence === at)).toBe(true);
    expect(whole.shown.every(({ sequence }) => sequence < restarted)).toBe(true);
    expect((await replayCook(reader, 'hut-supper', codeVersion(), restarted)).differences).toBe(0);
    await reader.close();
  }, 120_000);
});

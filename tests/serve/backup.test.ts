import { existsSync, readdirSync, readFileSync, writeFileSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { backupVerb } from '../../controller/cli/backup.ts';
import type { Verb } from '../../controller/cli/io.ts';
import { pruneVerb } from '../../controller/cli/prune.ts';
import { restoreVerb } from '../../controller/cli/restore.ts';
import { openJournal } from '../../controller/journal/journal.ts';
import { pruneLog } from '../../controller/journal/prune.ts';
import { openReader } from '../../controller/journal/reader.ts';
import { verifyLog } from '../../controller/journal/verify.ts';
import type { TickRecord } from '../../shared/wire/record.ts';
import { COOK_ID, cookOf, cookRow, endlessTick, options, START_MS, tick } from './journal-fixture.ts';
import { ownFolder } from './journal-folder.ts';

const DAY_MS = 86_400_000;

async function log(records: readonly TickRecord[], snapshots: readonly number[] = []): Promise<string> {
  const folder = ownFolder();
  const journal = await openJournal(options(folder));
  for (const record of records) {
    journal.write(record);
    if (snapshots.includes(record.sample.sequence)) journal.snapshot(record.sample.sequence, '{}');
  }
  await journal.close();
  return options(folder).path;
}

async function run(verb: Verb, ...argv: string[]) {
  const said = { out: '', err: '' };
  const code = await verb(argv, {
    out: (text) => {
      said.out += text;
    },
    err: (text) => {
      said.err += text;
    },
  });
  return { code, ...said };
}

async function stateOf(path: string) {
  const reader = await openReader(path);
  const [last, report] = [await reader.lastSequence(), await verifyLog(reader, null)];
  const cooks = (await reader.cooks()).map(({ cookId }) => cookId);
  await reader.close();
  return { last, cooks, breaks: report.breaks, head: report.head };
}

describe('backup and restore', () => {
  it('copies a log that is being written to, as one moment of it, and restores it with every row and link', async () => {
    const folder = ownFolder();
    const journal = await openJournal(options(folder, { commitEveryMs: 5 }));
    for (let n = 1; n <= 500; n += 1) journal.write(endlessTick(n));
    await journal.flush();
    const file = join(ownFolder(), 'log.backup');
    let n = 500;
    const writing = setInterval(() => {
      n += 1;
      journal.write(endlessTick(n));
    }, 1);
    const copied = await run(backupVerb, file, '--data', folder, '--json');
    clearInterval(writing);
    await journal.close();
    const report = JSON.parse(copied.out);
    expect(report.lastSequence).toBeGreaterThanOrEqual(500);
    expect(report.sha256).toMatch(/^[0-9a-f]{64}$/);
    expect(readdirSync(dirname(file))).toEqual(['log.backup']);
    const target = ownFolder();
    expect(await run(restoreVerb, file, '--data', target)).toMatchObject({ code: 0, err: '' });
    const state = await stateOf(options(target).path);
    expect(state).toMatchObject({ last: report.lastSequence, cooks: [COOK_ID], breaks: 0 });
    const next = await openJournal(options(target, { bootId: 'after' }));
    next.write(endlessTick(state.last + 1));
    await next.close();
    expect(await stateOf(options(target).path)).toMatchObject({ last: state.last + 1, breaks: 0 });
  });

  it('overwrites nothing: neither a file by a backup, nor a log by a restore, which puts the old one aside when told to', async () => {
    const path = await log(cookOf(30));
    const file = join(ownFolder(), 'b');
    writeFileSync(file, 'mine');
    const blocked = await run(backupVerb, file, '--data', dirname(path));
    expect(blocked).toMatchObject({ code: 1, out: '' });
    expect(blocked.err).toContain('exists already');
    expect(readFileSync(file, 'utf8')).toBe('mine');
    const good = join(ownFolder(), 'good');
    expect((await run(backupVerb, good, '--data', dirname(path))).code).toBe(0);
    const other = await log(cookOf(50, 1, 'other'));
    const before = readFileSync(other);
    const refused = await run(restoreVerb, good, '--data', dirname(other));
    expect(refused.err).toContain('--put-aside');
    expect([refused.code, readFileSync(other).equals(before)]).toEqual([1, true]);
    const done = await run(restoreVerb, good, '--data', dirname(other), '--put-aside', '--json');
    const { putAside } = JSON.parse(done.out);
    expect(putAside).toMatch(/journal\.before-restore-.*\.sqlite$/);
    expect(readFileSync(putAside).equals(before)).toBe(true);
    expect((await stateOf(other)).cooks).toEqual([COOK_ID]);
  });

  it('refuses a backup that is damaged or none, and a log in use, and leaves what is there as it was', async () => {
    const path = await log(cookOf(400));
    const file = join(ownFolder(), 'b');
    await run(backupVerb, file, '--data', dirname(path));
    const bytes = readFileSync(file);
    bytes.fill(0x5a, 4096 * 6, 4096 * 8);
    const bad = join(ownFolder(), 'bad');
    writeFileSync(bad, bytes);
    const before = readFileSync(path);
    for (const [from, said] of [
      [bad, /damaged|malformed/],
      [join(dirname(bad), 'none'), /there is no file/],
    ] as const) {
      const result = await run(restoreVerb, from, '--data', dirname(path), '--put-aside');
      expect([result.code, result.out]).toEqual([1, '']);
      expect(result.err).toMatch(said);
      expect(readFileSync(path).equals(before)).toBe(true);
      expect(existsSync(`${path}.restoring`)).toBe(false);
    }
    const journal = await openJournal(options(dirname(path)));
    expect((await run(restoreVerb, file, '--data', dirname(path), '--put-aside')).err).toContain(
      'journal.sqlite',
    );
    expect((await run(pruneVerb, '--keep-days', '1', '--data', dirname(path))).code).toBe(1);
    await journal.close();
  });
});

/** A cook of 30 ticks that many days after the start of the fixture, with an idle tick after it. */
function cookOn(day: number, first: number, cookId: string, ended = true): TickRecord[] {
  const records: TickRecord[] = Array.from({ length: 30 }, (_, n) => {
    const wallMs = START_MS + day * DAY_MS + n * 1000;
    return n === 0
      ? tick(first, { wallMs, cookId, cook: cookRow({ cookId }) })
      : tick(first + n, { wallMs, cookId });
  });
  const endedAtMs = START_MS + day * DAY_MS + 30_000;
  // As the controller does it: the tick that ends a cook is outside it and holds its last version.
  const cook = ended ? cookRow({ cookId, endedAtMs }) : null;
  return [...records, tick(first + 30, { wallMs: endedAtMs, cookId: ended ? null : cookId, cook })];
}

describe('pruning', () => {
  const days = [
    ...cookOn(0, 1, 'day-0'),
    ...cookOn(5, 32, 'day-5'),
    ...cookOn(20, 63, 'day-20'),
    ...cookOn(29, 94, 'day-29', false),
  ];

  it('takes out whole what is past its retention, never a cook within it or running, and the chain still holds', async () => {
    const path = await log(days, [31, 62, 93]);
    const nowMs = START_MS + 30 * DAY_MS;
    const dry = await pruneLog(path, { keepDays: 20, nowMs, apply: false });
    expect(dry.cooks.map(({ cookId }) => cookId)).toEqual(['day-0', 'day-5']);
    expect((await stateOf(path)).cooks.length).toBe(4);
    const done = await pruneLog(path, { keepDays: 20, nowMs, apply: true });
    expect(done).toMatchObject({ ticks: dry.ticks, applied: true });
    expect(await stateOf(path)).toMatchObject({ cooks: ['day-20', 'day-29'], last: 124, breaks: 0 });
    const reader = await openReader(path);
    expect((await reader.samples('day-20', 0, 100)).length).toBe(30);
    expect((await reader.resume()).runningCook?.cookId).toBe('day-29');
    expect((await verifyLog(reader, 'day-20')).breaks).toBe(0);
    await reader.close();
    const journal = await openJournal(options(dirname(path), { bootId: 'after' }));
    journal.write(tick(125, { cookId: 'day-29' }));
    await journal.close();
    expect(await stateOf(path)).toMatchObject({ last: 125, breaks: 0 });
  });

  it('keeps a cook that runs however old, and is not misled by a clock that is ahead', async () => {
    const path = await log(cookOn(0, 1, 'running', false));
    const far = START_MS + 5000 * DAY_MS;
    expect(await pruneLog(path, { keepDays: 1, nowMs: far, apply: true })).toMatchObject({
      cooks: [],
      ticks: 0,
    });
    const ended = await log(days, [31, 62, 93]);
    expect((await pruneLog(ended, { keepDays: 60, nowMs: far, apply: true })).cooks).toEqual([]);
  });

  it('changes nothing unless told to, and refuses a retention that is none', async () => {
    const path = await log(days, [31, 62, 93]);
    const told = await run(pruneVerb, '--keep-days', '20', '--data', dirname(path));
    expect(told.out).toContain('Nothing was changed; --apply does it.');
    expect((await stateOf(path)).cooks.length).toBe(4);
    for (const bad of [[], ['--keep-days', '0'], ['--keep-days', 'x'], ['day-0', '--keep-days', '5']]) {
      expect(await run(pruneVerb, ...bad, '--data', dirname(path))).toMatchObject({ code: 2, out: '' });
    }
  });
});

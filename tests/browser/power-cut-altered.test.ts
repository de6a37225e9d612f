import { mkdirSync, mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import Database from 'better-sqlite3';
import type { Browser } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { pack, unpack } from '../../controller/journal/codec.ts';
import type { TickInput } from '../../shared/wire/tick.ts';
import { type RunningController, startProcess } from '../serve/process.ts';
import { openBrowser, openPhone } from './chromium.ts';
import { bagIn, by, HUT_BAGS, startCook, textOf } from './walk.ts';

const folder = mkdtempSync(join(tmpdir(), 'bathkeeper-altered-'));
let browser: Browser;
let running: RunningController;
const start = async () => {
  running = await startProcess(join(folder, 'data'), ['--speed', '120']);
  return running;
};

beforeAll(async () => {
  mkdirSync('tests/browser/out', { recursive: true });
  browser = await openBrowser();
});
afterAll(async () => {
  await browser?.close();
  await running?.kill();
  rmSync(folder, { recursive: true, force: true });
});

function change(what: (db: Database.Database, last: number) => void): void {
  const db = new Database(join(folder, 'data', 'simulated', 'journal.sqlite'));
  what(db, db.prepare('SELECT max(sequence) FROM tick').pluck().get() as number);
  db.close();
}

/** Another water than was recorded, in a row that can be read. */
function warmer(db: Database.Database, sequence: number): void {
  const row = db.prepare('SELECT input FROM tick WHERE sequence = ?').pluck().get(sequence) as Buffer;
  const input = unpack<TickInput>(row);
  const bath = { ...input.readings.bath, celsius: (input.readings.bath.celsius ?? 0) + 1 };
  const changed = { ...input, readings: { ...input.readings, bath } };
  db.prepare('UPDATE tick SET input = ? WHERE sequence = ?').run(pack(changed), sequence);
}

/** What the page says of the record after a start, and of the heat. */
async function said(name: string) {
  const { url } = await start();
  const { page, errors } = await openPhone(browser, url);
  await by(page, 'power-cut-length').waitFor({ timeout: 90_000 });
  await page.screenshot({ path: `tests/browser/out/${name}.png` });
  const found = {
    record: await textOf(by(page, 'power-cut-lost')),
    length: await textOf(by(page, 'power-cut-span')),
    all: (await page.locator('body').textContent()) ?? '',
  };
  expect(errors).toEqual([]);
  await page.context().close();
  await running.kill();
  return found;
}

describe('a phone after a restart on a record that was changed', () => {
  it('says that nothing is credited for that part, and of a log that is another one that heat waits for a person', {
    timeout: 300_000,
  }, async () => {
    const { page } = await openPhone(browser, (await start()).url);
    await startCook(page, running, 66);
    for (const bag of HUT_BAGS.slice(1)) await bagIn(page, bag);
    const last = async () =>
      ((await (await running.get('/api/health')).json()) as { sequence: number }).sequence;
    const begun = await last();
    await expect.poll(last, { timeout: 90_000 }).toBeGreaterThan(begun + 300);
    await page.context().close();
    await running.kill();

    change((db, sequence) => warmer(db, sequence - 20));
    const altered = await said('power-cut-altered');
    expect(altered.record).toMatch(/Nothing shows that the last 21 s .*Food is credited with nothing/);
    expect(altered.record).not.toMatch(/Heat is stopped/);
    // The clock alone tells the length: its two bounds are one.
    expect(altered.length).toMatch(/^seen again/);

    // As where every link was made anew over other rows: only the mark still knows the old one.
    change((db, sequence) =>
      db.prepare('UPDATE tick SET link = zeroblob(32) WHERE sequence = ?').run(sequence),
    );
    const other = await said('power-cut-other-log');
    expect(other.record).toMatch(/Heat is stopped: look at the bath, then allow it/);
    expect(other.all).toMatch(/Heat stopped: by the controller, for what asks for heat .* was changed/);
  });
});

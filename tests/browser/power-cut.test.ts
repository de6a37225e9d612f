import { mkdirSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { Browser, Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { type RunningController, startProcess } from '../serve/process.ts';
import { openBrowser, openPhone } from './chromium.ts';
import { bagIn, by, HUT_BAGS, startCook, textOf } from './walk.ts';

const PATIENCE = { timeout: 90_000 };
const folder = mkdtempSync(join(tmpdir(), 'bathkeeper-power-cut-'));
const data = join(folder, 'data');
let browser: Browser;
const started: RunningController[] = [];
const start = async () => {
  const one = await startProcess(data, ['--speed', '120']);
  started.push(one);
  return one;
};

beforeAll(async () => {
  mkdirSync('tests/browser/out', { recursive: true });
  browser = await openBrowser();
});
afterAll(async () => {
  await browser?.close();
  for (const one of started) await one.kill();
  rmSync(folder, { recursive: true, force: true });
});

const sequenceOf = async (one: RunningController) =>
  ((await (await one.get('/api/health')).json()) as { sequence: number }).sequence;

/** The world as it is after so long without power: its file says that it was left earlier. */
function leaveAlone(hours: number): void {
  const path = join(data, 'simulated', 'world.json');
  const world = JSON.parse(readFileSync(path, 'utf8')) as { savedAtMs: number };
  writeFileSync(path, JSON.stringify({ ...world, savedAtMs: world.savedAtMs - hours * 3_600_000 }));
}

async function pairPhone(page: Page, controller: RunningController): Promise<void> {
  const code = [...controller.output().matchAll(/Pairing code for a phone: (\d{6})/g)].at(-1)?.[1] ?? '';
  await page.locator('#pair-code').fill(code);
  await page.locator('#pair-name').fill('Second phone');
  await by(page, 'pair-submit').click();
}

describe('a phone after a power cut', () => {
  it('says how long it was, what it did to each bag, and records a decision with a name for each', {
    timeout: 300_000,
  }, async () => {
    const first = await start();
    const before = await openPhone(browser, first.url);
    await startCook(before.page, first, 66);
    for (const bag of HUT_BAGS.slice(1)) await bagIn(before.page, bag);
    const begun = await sequenceOf(first);
    await expect.poll(() => sequenceOf(first), { ...PATIENCE, interval: 500 }).toBeGreaterThan(begun + 6500);
    await before.page.context().close();
    await first.kill();
    leaveAlone(3);

    const second = await start();
    const { page, errors } = await openPhone(browser, second.url);
    await by(page, 'power-cut').waitFor(PATIENCE);
    await by(page, 'power-cut-length').waitFor(PATIENCE);
    const bags = by(page, 'cut-bag');
    expect(await bags.count()).toBe(2);
    await page.screenshot({ path: 'tests/browser/out/power-cut.png' });
    await bags.first().screenshot({ path: 'tests/browser/out/power-cut-bag.png' });
    const wide = await page.evaluate(
      'document.documentElement.scrollWidth - document.documentElement.clientWidth',
    );
    expect(wide).toBe(0);

    const ids = await bags.evaluateAll((all) => all.map((one) => one.getAttribute('data-bag') ?? ''));
    const [one = '', two = ''] = ids;
    await bags.first().locator('summary').click();
    await by(page, `cut-discard-${one}`).click();
    expect(await by(page, `cut-record-${one}`).isDisabled()).toBe(true);
    await page.locator(`#cut-name-${one}`).fill('Ada');
    await bags.first().screenshot({ path: 'tests/browser/out/power-cut-confirm.png' });
    await by(page, `cut-record-${one}`).click();
    await by(page, 'pair-form').waitFor(PATIENCE);
    await pairPhone(page, second);
    await by(page, `cut-decided-${one}`).waitFor(PATIENCE);
    expect(await textOf(by(page, `cut-decided-${one}`))).toMatch(/^Ada decided .*throw it away/);
    await by(page, `cut-go-on-${two}`).click();
    expect(await page.locator(`#cut-name-${two}`).inputValue()).toBe('Ada');
    await by(page, `cut-record-${two}`).click();
    await by(page, 'power-cut').waitFor({ state: 'detached', timeout: 60_000 });

    await second.pair();
    const cooks = (await (await second.get('/api/cooks')).json()) as { cookId: string }[];
    const cookId = cooks.at(-1)?.cookId ?? '';
    const record = await second.get(`/api/cooks/${cookId}/record.html`);
    expect(record.status).toBe(200);
    const text = await record.text();
    expect(text).toMatch(/Ada decided for/);
    expect(text).toMatch(/power cut/i);
    expect(errors).toEqual([]);
    await page.goto(`${second.url}/api/cooks/${cookId}/record.html`);
    await page.emulateMedia({ media: 'print' });
    await page.setViewportSize({ width: 794, height: 1123 });
    await page.screenshot({ path: 'tests/browser/out/record-print.png' });
    await page.context().close();
  });
});

import { mkdirSync, mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { Browser, Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { type RunningController, startProcess } from '../serve/process.ts';
import { openBrowser, openPhone } from './chromium.ts';
import { bagIn, by, startCook, textOf } from './walk.ts';

/** Demo time: two minutes in a second. */
const SPEED = '120';
const PATIENCE = { timeout: 120_000 };
const shots = 'tests/browser/out';
const folder = mkdtempSync(join(tmpdir(), 'bathkeeper-chill-'));
let browser: Browser;
let controller: RunningController;

beforeAll(async () => {
  mkdirSync(shots, { recursive: true });
  controller = await startProcess(folder, ['--speed', SPEED]);
  browser = await openBrowser();
});
afterAll(async () => {
  await browser?.close();
  await controller?.kill();
  rmSync(folder, { recursive: true, force: true });
});

const picture = (page: Page, name: string) =>
  page.screenshot({ path: `${shots}/${name}.png`, fullPage: true });

async function read(page: Page, celsius: number): Promise<void> {
  await page.locator('[data-test^="core-"]', { hasText: 'Core reading' }).first().click(PATIENCE);
  await page.locator('#core').fill(String(celsius));
  if (celsius === 40) await picture(page, 'core-reading');
  await by(page, 'core-reading-submit').click();
  await by(page, 'watch').waitFor(PATIENCE);
}

describe('a bag taken out to chill, on a phone', () => {
  it('begins a record of its cooling, is judged by readings in words with rule and source, and gets a date only with a fridge temperature', {
    timeout: 300_000,
  }, async () => {
    const { page, errors } = await openPhone(browser, controller.url);
    await startCook(page, controller, 70);
    await page.locator('[data-test="stage"][data-stage="ready-for-food"]').waitFor(PATIENCE);
    await bagIn(page, { cut: 'pork-neck', label: 'Pork neck', thicknessMm: 30, massKg: 0.6 });
    const bag = page.locator('[data-test="bag"][data-label="Pork neck"]');
    await bag.locator('[data-test="lethality"][data-met="true"]').first().waitFor(PATIENCE);

    const out = page.locator('[data-test^="out-"]');
    if (!(await out.isVisible())) await page.locator('[data-test^="choose-"]').click();
    await out.click();
    await by(page, 'destination-chill').check();
    await by(page, 'chilling-ice-water').check();
    await picture(page, 'bag-out-chill');
    await by(page, 'bag-out-confirm').click();
    const chill = by(page, 'chill');
    await chill.waitFor(PATIENCE);
    expect(await textOf(chill)).toContain('Chilling in ice water since');
    expect(await textOf(by(page, 'chill-next'))).toMatch(/Show the core at .* or colder by \d\d:\d\d/);
    expect(await textOf(by(page, 'storage'))).toContain('No store-until is given');
    await picture(page, 'chill-open');

    await read(page, 40);
    await read(page, 18);
    await read(page, 2.5);
    await expect
      .poll(
        () =>
          by(page, 'cooling-rule').evaluateAll((all) => all.map((one) => one.getAttribute('data-status'))),
        PATIENCE,
      )
      .toEqual(['kept', 'kept']);
    expect(await textOf(by(page, 'cooling-rule').first())).toMatch(/Kept:.*Food Code 3-501\.14/);
    expect(await textOf(by(page, 'storage'))).toContain('no fridge temperature');
    await picture(page, 'chill-kept');

    await page.locator('[data-test^="end-chill-"]').click();
    await page.locator('#fridge').fill('3');
    await picture(page, 'end-chill');
    await by(page, 'end-chill-submit').click();
    await expect.poll(() => textOf(by(page, 'storage')), PATIENCE).toMatch(/Keep until .* at the latest/);
    expect(await textOf(chill)).toContain('Put into the fridge at');
    await picture(page, 'chill-ended');
    expect(errors).toEqual([]);
    await page.context().close();
  });
});

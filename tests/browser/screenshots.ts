import { mkdirSync, mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { Browser, Page } from 'playwright-core';
import { type RunningController, startProcess } from '../serve/process.ts';
import { DESK, openBrowser, PHONE } from './chromium.ts';
import { askSupper, bagIn, by, HUT_BAGS, plantDeed, startCook } from './walk.ts';

/** Pictures of the README, from the running product: `npm run screenshots`. */
const out = 'monitor/pictures';
const PATIENCE = { timeout: 90_000 };

async function take(page: Page, name: string, waitMs = 6000): Promise<void> {
  // A notice that passes by would stand in the picture.
  await page.waitForTimeout(waitMs);
  await page.screenshot({ path: `${out}/${name}.png` });
  console.log(`${out}/${name}.png`);
}

async function tell(browser: Browser, controller: RunningController): Promise<void> {
  const context = await browser.newContext({ viewport: PHONE });
  const page = await context.newPage();
  await page.goto(controller.url);
  await askSupper(page);
  await take(page, 'phone-plan', 200);
  await by(page, 'back').click();
  await startCook(page, controller, 74);
  await page.locator('[data-test="stage"][data-stage="ready-for-food"]').waitFor(PATIENCE);
  for (const bag of HUT_BAGS) await bagIn(page, bag);
  await page.waitForTimeout(20_000);
  await take(page, 'phone');
  await by(page, 'bag')
    .first()
    .evaluate((bag) => bag.scrollIntoView({ block: 'start' }));
  await take(page, 'phone-bags');
  await page.setViewportSize(DESK);
  await page.evaluate('window.scrollTo(0, 0)');
  await take(page, 'desk');
  await page.setViewportSize(PHONE);
  await plantDeed(page, 'plant-lid', 'plant-mains');
  await by(page, 'alarm-bath-below-hot-limit').waitFor(PATIENCE);
  await page.evaluate('window.scrollTo(0, 0)');
  await take(page, 'phone-alarm');
  controller.child.kill('SIGSTOP');
  await by(page, 'not-connected').waitFor(PATIENCE);
  await page.evaluate('window.scrollTo(0, 0)');
  await take(page, 'phone-not-connected');
  controller.child.kill('SIGCONT');
}

const folder = mkdtempSync(join(tmpdir(), 'bathkeeper-pictures-'));
mkdirSync(out, { recursive: true });
const controller = await startProcess(folder, ['--speed', '300']);
const browser = await openBrowser();
try {
  await tell(browser, controller);
} finally {
  await browser.close();
  await controller.kill();
  rmSync(folder, { recursive: true, force: true });
}

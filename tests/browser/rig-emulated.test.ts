import { mkdirSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { Browser } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { type RunningController, startProcess } from '../serve/process.ts';
import { openBrowser, openPhone } from './chromium.ts';
import { by, startCook } from './walk.ts';

const PATIENCE = { timeout: 30_000 };
const folder = mkdtempSync(join(tmpdir(), 'bathkeeper-emulated-'));
let browser: Browser;
let controller: RunningController;

beforeAll(async () => {
  mkdirSync('tests/browser/out', { recursive: true });
  const config = join(folder, 'bathkeeper.json');
  // The shortest that the board takes: it cuts by itself after ten seconds of heat.
  writeFileSync(config, JSON.stringify({ rig: { maxHeatS: 10 } }));
  controller = await startProcess(join(folder, 'data'), ['--rig', 'emulated', '--config', config]);
  browser = await openBrowser();
});
afterAll(async () => {
  await browser?.close();
  await controller?.stop();
  rmSync(folder, { recursive: true, force: true });
});

describe('a cook in real time through the emulated board, on a phone', () => {
  it('says which rig it is on, heats, shows the cut of the board and why, and clears it only once its cause is gone', {
    timeout: 90_000,
  }, async () => {
    const { page, errors } = await openPhone(browser, controller.url);
    await by(page, 'rig').waitFor(PATIENCE);
    expect(await by(page, 'rig').getAttribute('data-rig')).toBe('emulated');
    expect(await by(page, 'rig').textContent()).toMatch(/no real water.*emulated board/);
    await startCook(page, controller, 90);
    await expect.poll(() => by(page, 'heat').getAttribute('data-granted'), PATIENCE).toBe('true');
    await page.screenshot({ path: 'tests/browser/out/emulated-heating.png' });

    const alarm = by(page, 'alarm-heat-link-lost');
    await alarm.waitFor(PATIENCE);
    expect(await alarm.textContent()).toMatch(/heat was on for longer than the longest time set/);
    await expect.poll(() => by(page, 'heat').getAttribute('data-granted'), PATIENCE).toBe('false');
    // Too early: the board says what it still waits for, and the page does not pretend.
    await by(page, 'clear-board').click();
    await expect
      .poll(() => alarm.textContent(), PATIENCE)
      .toMatch(/asked to clear that and did not: .*it waits/);
    await page.screenshot({ path: 'tests/browser/out/emulated-cut.png' });
    // The board rests its heater for ten seconds; then it takes the same word, and heat may come on again.
    await expect
      .poll(
        async () => {
          const button = by(page, 'clear-board');
          if ((await button.count()) === 0) return 'cleared';
          await button.click({ timeout: 2000 }).catch(() => undefined);
          return 'cut';
        },
        { timeout: 40_000, interval: 2000 },
      )
      .toBe('cleared');
    expect(errors).toEqual([]);
    await page.context().close();
  });
});

import { mkdirSync, mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { parse } from 'csv-parse/sync';
import type { Browser } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { type RunningController, startProcess } from '../serve/process.ts';
import { openBrowser, openPhone } from './chromium.ts';
import { bagIn, bagOut, by, HUT_BAGS, plantDeed, startCook } from './walk.ts';

/** Demo time: an evening of four hours passes in a minute. */
const SPEED = '300';
const PATIENCE = { timeout: 90_000 };
const shots = 'tests/browser/out';
const folder = mkdtempSync(join(tmpdir(), 'bathkeeper-story-'));
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

describe('an evening in the hut, on a phone', () => {
  it('goes from an empty page to a cook, through the danger zone alarm, to the exported log', {
    timeout: 240_000,
  }, async () => {
    const { page, errors } = await openPhone(browser, controller.url);
    await startCook(page, controller, 62);
    await page.locator('[data-test="stage"][data-stage="ready-for-food"]').waitFor(PATIENCE);
    for (const bag of HUT_BAGS) await bagIn(page, bag);
    await page.locator('[data-test="stage"][data-stage="food-in"]').waitFor(PATIENCE);
    await page.waitForTimeout(3000);
    const cores = await by(page, 'core').evaluateAll((all) =>
      all.map((one) => Number(one.getAttribute('data-celsius'))),
    );
    expect(cores.every((core) => core > 5 && core < 62)).toBe(true);
    expect(await page.locator('[data-test="alarms"] [data-priority="high"]').count()).toBe(0);
    await page.screenshot({ path: `${shots}/normal.png` });

    await plantDeed(page, 'plant-lid', 'plant-mains');
    const alarm = by(page, 'alarm-bath-below-hot-limit');
    await alarm.waitFor(PATIENCE);
    expect(await alarm.textContent()).toMatch(/57\.2 °C/);
    await page.screenshot({ path: `${shots}/alarm.png` });
    await by(page, 'acknowledge-bath-below-hot-limit').click();
    await expect.poll(() => alarm.getAttribute('data-state'), PATIENCE).toBe('acknowledged');

    await plantDeed(page, 'plant-lid', 'plant-mains');
    await alarm.waitFor({ state: 'detached', timeout: 90_000 });
    for (const bag of HUT_BAGS) await bagOut(page, bag.label);
    await page.locator('[data-test="stage"][data-stage="taken-out"]').waitFor(PATIENCE);
    const download = page.waitForEvent('download', PATIENCE);
    await by(page, 'export-csv').first().click();
    const file = await (await download).path();
    const rows = parse(readFileSync(file), { columns: true }) as Record<string, string>[];
    expect(rows.length).toBeGreaterThan(1000);
    const bath = Object.keys(rows[0] ?? {}).find((name) => /bath/i.test(name)) ?? '';
    const values = rows.map((row) => Number(row[bath])).filter((value) => value > 0);
    expect(Math.max(...values)).toBeGreaterThan(61);
    expect(values.at(-1)).toBeGreaterThan(50);
    expect(errors).toEqual([]);
    await page.context().close();
  });

  it('says that it is not connected within 5 s, and fills the gap when the controller is back', {
    timeout: 120_000,
  }, async () => {
    const { page, errors } = await openPhone(browser, controller.url);
    await by(page, 'bath-number').first().waitFor(PATIENCE);
    controller.child.kill('SIGSTOP');
    await by(page, 'not-connected').waitFor(PATIENCE);
    await page.screenshot({ path: `${shots}/disconnected.png` });
    controller.child.kill('SIGCONT');
    await by(page, 'not-connected').waitFor({ state: 'detached', timeout: 60_000 });
    expect(await by(page, 'bath').getAttribute('data-current')).toBe('true');
    expect(errors).toEqual([]);
    await page.context().close();
  });

  it('stops the heat with one touch from a phone that is not paired', { timeout: 60_000 }, async () => {
    const { page } = await openPhone(browser, controller.url);
    await by(page, 'stop-heat').click(PATIENCE);
    await expect
      .poll(
        async () =>
          (await (await controller.get('/metrics')).text()).match(/bathkeeper_heat_stopped (\d)/)?.[1],
        PATIENCE,
      )
      .toBe('1');
    await page.context().close();
  });
});

import { mkdirSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { Browser, Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { type RunningController, startProcess } from '../serve/process.ts';
import { openBrowser, openPhone } from './chromium.ts';
import { by, startCook, textOf } from './walk.ts';

const PATIENCE = { timeout: 90_000 };
const folder = mkdtempSync(join(tmpdir(), 'bathkeeper-trip-'));
let browser: Browser;
let controller: RunningController;

beforeAll(async () => {
  mkdirSync('tests/browser/out', { recursive: true });
  const config = join(folder, 'bathkeeper.json');
  // A cook that must be attended, with a sign asked for every 20 minutes of demo time.
  writeFileSync(config, JSON.stringify({ safety: { presenceMinutes: 20 } }));
  controller = await startProcess(join(folder, 'data'), ['--speed', '120', '--config', config]);
  browser = await openBrowser();
});
afterAll(async () => {
  await browser?.close();
  await controller?.kill();
  rmSync(folder, { recursive: true, force: true });
});

/** Acknowledges a cause of the trip, then clears it, which is refused for as long as it stands. */
async function clearTrip(page: Page, alarmId: string): Promise<void> {
  await by(page, `acknowledge-${alarmId}`).click(PATIENCE);
  const clear = by(page, `clear-${alarmId}`);
  await clear.waitFor(PATIENCE);
  await expect.poll(() => clear.isEnabled(), PATIENCE).toBe(true);
  await clear.click();
  await by(page, 'trip').waitFor({ state: 'detached', timeout: 60_000 });
}

describe('a cook that must not be left alone', () => {
  it('asks for a sign, takes it from the page, and stops the heat when nobody gives one', {
    timeout: 180_000,
  }, async () => {
    const { page, errors } = await openPhone(browser, controller.url);
    await startCook(page, controller, 68);
    await by(page, 'alarm-presence-due').waitFor(PATIENCE);
    await page.screenshot({ path: 'tests/browser/out/presence.png' });
    await by(page, 'here').click();
    await by(page, 'here').waitFor({ state: 'detached', timeout: 30_000 });
    await by(page, 'alarm-presence-lapsed').waitFor(PATIENCE);
    await expect.poll(() => by(page, 'heat').getAttribute('data-granted'), PATIENCE).toBe('false');
    const trip = by(page, 'trip');
    await trip.waitFor(PATIENCE);
    expect(await textOf(by(page, 'trip-cause'))).toBe('Nobody answered');
    expect(await textOf(by(page, 'trip-saw'))).toMatch(/^No sign of a person for \d+ min\.$/);
    expect(await textOf(by(page, 'trip-expected'))).toMatch(/^One every 20 min/);
    await page.screenshot({ path: 'tests/browser/out/trip.png' });
    // Somebody comes: the cause is gone, and what is left is to say so.
    await by(page, 'here').click(PATIENCE);
    await clearTrip(page, 'presence-lapsed');
    await expect.poll(() => by(page, 'heat').getAttribute('data-granted'), PATIENCE).toBe('true');
    expect(errors).toEqual([]);
    await page.context().close();
  });
});

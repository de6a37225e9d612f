import { mkdirSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { Browser } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { type RunningController, startProcess } from '../serve/process.ts';
import { openBrowser, openPhone } from './chromium.ts';
import { by, startCook } from './walk.ts';

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
    await page.screenshot({ path: 'tests/browser/out/trip.png' });
    expect(errors).toEqual([]);
    await page.context().close();
  });
});

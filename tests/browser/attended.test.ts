import { mkdirSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { Browser, Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { type RunningController, startProcess } from '../serve/process.ts';
import { openBrowser, openPhone } from './chromium.ts';
import { by, startCook, textOf } from './walk.ts';

const PATIENCE = { timeout: 90_000 };
const PATIENT = { timeout: 400_000 };
const folder = mkdtempSync(join(tmpdir(), 'bathkeeper-attended-'));
const errorsSeen: string[][] = [];
let browser: Browser;
let plain: RunningController;
let proven: RunningController;

/** A controller whose configuration says this of its safety. */
async function start(name: string, safety: object): Promise<RunningController> {
  const config = join(folder, `${name}.json`);
  writeFileSync(config, JSON.stringify({ safety }));
  return startProcess(join(folder, name), ['--speed', '60', '--config', config]);
}

beforeAll(async () => {
  mkdirSync('tests/browser/out', { recursive: true });
  plain = await start('plain', { switches: 1, secondProbe: false, levelSwitch: false, presenceMinutes: 30 });
  proven = await start('proven', {
    switches: 2,
    secondProbe: true,
    levelSwitch: true,
    cutOutProvenOn: '2026-11-01',
    alarmPathProvenOn: '2026-11-01',
    presenceMinutes: 240,
  });
  browser = await openBrowser();
}, 180_000);
afterAll(async () => {
  await browser?.close();
  await plain?.kill();
  await proven?.kill();
  rmSync(folder, { recursive: true, force: true });
});

async function phoneAt(controller: RunningController): Promise<Page> {
  const { page, errors } = await openPhone(browser, controller.url);
  errorsSeen.push(errors);
  return page;
}

/** Acknowledges and clears what the trip lists, until nothing is left. */
async function clearAll(page: Page): Promise<void> {
  const trip = by(page, 'trip');
  const due = Date.now() + PATIENCE.timeout;
  while ((await trip.count()) > 0) {
    if (Date.now() > due) throw new Error('the trip was not cleared');
    const ready = page.locator('[data-test^="acknowledge-"]:enabled, [data-test^="clear-"]:enabled').first();
    await ready.click({ timeout: 2000 }).catch(() => undefined);
    await page.waitForTimeout(300);
  }
}

const shot = (page: Page, name: string) => page.screenshot({ path: `tests/browser/out/${name}.png` });

describe('leaving a cook alone', () => {
  it(
    'shows a rig with one probe and one switch what it lacks, how to mend each, and when a sign is due',
    PATIENT,
    async () => {
      const page = await phoneAt(plain);
      await startCook(page, plain, 66);
      await by(page, 'go-attendance').click(PATIENCE);
      for (const id of [
        'guard-switch',
        'second-probe',
        'level-switch',
        'cut-out',
        'alarm-path',
        'alarm-test',
      ]) {
        const lack = by(page, `lack-${id}`);
        await lack.waitFor(PATIENCE);
        expect((await textOf(lack.locator('span'))).length, id).toBeGreaterThan(20);
      }
      expect(await by(page, 'leave-alone').count()).toBe(0);
      expect(await textOf(by(page, 'sign-due'))).toMatch(/Give a sign within .+, or the heat stops\./);
      await shot(page, 'unattended-lacks');
      const refused = await plain
        .pair()
        .then(() => plain.command({ kind: 'set-attendance', unattended: true }));
      expect(JSON.stringify(await refused.json())).toContain('not-fit-unattended');
    },
  );

  it('names what this rig cannot see, within two taps, by what it has', PATIENT, async () => {
    const page = await phoneAt(plain);
    await by(page, 'go-cannot-see').click(PATIENCE);
    for (const id of ['lone-probe-drifts', 'leak-unseen', 'lone-switch-welds'])
      await by(page, `unseen-${id}`).waitFor(PATIENCE);
    for (const id of ['leak-above-switch', 'both-switches-weld', 'pump-alike'])
      expect(await by(page, `unseen-${id}`).count(), id).toBe(0);
    await shot(page, 'cannot-see');
  });

  it('takes water that was topped up from the page', PATIENT, async () => {
    const page = await phoneAt(plain);
    await by(page, 'go-topped-up').click(PATIENCE);
    await page.locator('#topped-litres').fill('1.5');
    await shot(page, 'topped-up');
    await by(page, 'topped-up-submit').click();
    const form = by(page, 'pair-form');
    await Promise.race([form.waitFor(PATIENCE), by(page, 'watch').waitFor(PATIENCE)]);
    if (await form.count()) {
      const code = [...plain.output().matchAll(/Pairing code for a phone: (\d{6})/g)].at(-1)?.[1] ?? '';
      await page.locator('#pair-code').fill(code);
      await page.locator('#pair-name').fill('Second phone');
      await by(page, 'pair-submit').click();
    }
    await by(page, 'watch').waitFor(PATIENCE);
    await by(page, 'happened').locator('summary').click(PATIENCE);
    await page.locator('[data-kind="topped-up"]').first().waitFor(PATIENCE);
    expect(await textOf(page.locator('[data-kind="topped-up"]').first())).toContain('poured in 1.5 L');
  });
});

describe('a rig that has all it needs', () => {
  it(
    'is left alone once a person has answered a test, and tells the first cause of a trip until somebody at the bath clears it',
    PATIENT,
    async () => {
      const page = await phoneAt(proven);
      await startCook(page, proven, 66);
      await by(page, 'go-attendance').click(PATIENCE);
      // The pair of probes is learned within minutes; what is left is the test.
      await expect.poll(() => by(page, 'lacks').getAttribute('data-count'), PATIENCE).toBe('1');
      await by(page, 'lack-alarm-test').waitFor(PATIENCE);
      await by(page, 'test-sound').click(PATIENCE);
      await by(page, 'test-heard').click(PATIENCE);
      await by(page, 'lacks').waitFor({ state: 'detached', timeout: 60_000 });
      await page.locator('#alone-tick').check();
      await shot(page, 'leave-alone');
      await by(page, 'leave-alone').click(PATIENCE);
      await expect.poll(() => by(page, 'present').getAttribute('data-unattended'), PATIENCE).toBe('true');
      await shot(page, 'left-alone');
      await by(page, 'back').click(PATIENCE);

      await by(page, 'bath-number').waitFor(PATIENCE);
      await proven.pair('Developer');
      const fault = await proven.plant({ kind: 'probe', probe: 'bath', fault: 'noisy' });
      expect(fault.ok, await fault.text()).toBe(true);
      const trip = by(page, 'trip');
      await trip.waitFor(PATIENCE);
      expect(await trip.getAttribute('data-cause')).toBe('probe-jumping');
      for (const part of ['trip-saw', 'trip-expected', 'trip-action'])
        expect((await textOf(by(page, part))).length, part).toBeGreaterThan(5);
      expect(await by(page, 'heat').getAttribute('data-granted')).toBe('false');
      await by(page, 'acknowledge-probe-jumping').click(PATIENCE);
      expect(await textOf(by(page, 'trip-cause-probe-jumping'))).toContain('still so');
      await shot(page, 'trip-active');
      await proven.plant({ kind: 'probe', probe: 'bath', fault: 'none' });
      const clear = by(page, 'clear-probe-jumping');
      await clear.waitFor(PATIENCE);
      await expect.poll(() => clear.isEnabled(), PATIENCE).toBe(true);
      expect(await textOf(clear)).toContain('I stand at the bath');
      expect(await textOf(by(page, 'trip-cause-probe-jumping'))).toContain('gone');
      // What came later on the noise is listed as well; the first cause stays the first.
      expect(await trip.getAttribute('data-cause')).toBe('probe-jumping');
      await shot(page, 'trip-clear');
      await clearAll(page);
      await shot(page, 'trip-cleared');
    },
  );

  it('logged no error on any page', () => {
    expect(errorsSeen.flat()).toEqual([]);
  });
});

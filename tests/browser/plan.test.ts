import { mkdirSync, mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import ICAL from 'ical.js';
import type { Browser, Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { askedOf, type Known } from '../../shared/plan/form.ts';
import { planBackwards } from '../../shared/plan/plan.ts';
import { type RunningController, startProcess } from '../serve/process.ts';
import { openBrowser, openPhone } from './chromium.ts';
import { askSupper, by } from './walk.ts';

/** Demo time: the bath is hot in ten seconds. */
const SPEED = '600';
const PATIENCE = { timeout: 60_000 };
const shots = 'tests/browser/out';
const folder = mkdtempSync(join(tmpdir(), 'bathkeeper-plan-'));
let browser: Browser;
let controller: RunningController;

beforeAll(async () => {
  mkdirSync(shots, { recursive: true });
  controller = await startProcess(folder, ['--speed', SPEED]);
  browser = await openBrowser();
}, 120_000);
afterAll(async () => {
  await browser?.close();
  await controller?.kill();
  rmSync(folder, { recursive: true, force: true });
});

/** Text with plain spaces: a number and its unit are kept on one line. */
const textOf = async (page: Page, name: string) =>
  ((await by(page, name).first().textContent()) ?? '').replaceAll('\u00a0', ' ');
const attribute = (page: Page, selector: string, name: string) =>
  page.locator(selector).first().getAttribute(name);

/** What can be touched: a label stands for the box in it. */
const TARGETS = 'button, a.button, summary, select, label:has(input[type="checkbox"], input[type="radio"])';

/** Targets under 48 px, and how far the page runs over its width. */
async function cramped(page: Page): Promise<{ small: string[]; overPx: number }> {
  const small = await page.locator(TARGETS).evaluateAll((all) =>
    all.flatMap((one) => {
      const { width, height } = one.getBoundingClientRect();
      return width > 0 && (height < 48 || width < 48) ? [`${one.textContent} ${width} x ${height}`] : [];
    }),
  );
  const overPx = Number(await page.evaluate('document.documentElement.scrollWidth - innerWidth'));
  return { small, overPx };
}

/** Every step on the page with its time and band. */
const stepsOn = (page: Page) =>
  page.locator('[data-test="plan-step"]').evaluateAll((rows) =>
    rows.map((row) => {
      const { step, at, low, high } = (row as unknown as { dataset: Record<string, string> }).dataset;
      return [step, Number(at), low === '' ? null : Number(low), high === '' ? null : Number(high)];
    }),
  );

async function pairHere(page: Page): Promise<void> {
  await by(page, 'pair-form').waitFor(PATIENCE);
  const code = [...controller.output().matchAll(/Pairing code for a phone: (\d{6})/g)].at(-1)?.[1] ?? '';
  await page.locator('#pair-code').fill(code);
  await page.locator('#pair-name').fill('Hut phone');
  await by(page, 'pair-submit').click();
}

describe('a meal planned on a phone', () => {
  let page: Page;
  let errors: string[];
  let planId: string;

  it('goes from an empty page to a plan that says what is next, how much and why, as the planner has it', {
    timeout: 60_000,
  }, async () => {
    ({ page, errors } = await openPhone(browser, controller.url));
    await askSupper(page);
    expect(await attribute(page, '.plan-whole', 'data-status')).toBe('odds-met');
    expect(await textOf(page, 'plan-next-title')).toBe('Salt lamb shoulder');
    // 1.5 % of 2 kg by arithmetic.
    expect(await textOf(page, 'plan-next-amount')).toBe('30 g of salt');
    expect(await textOf(page, 'plan-next')).toContain('1.5 % of 2 kg');
    await page.screenshot({ path: `${shots}/plan.png` });

    const known = (await (await controller.get('/api/plans/known')).json()) as Known;
    const nowMs = Number(await attribute(page, '.plan-whole', 'data-now'));
    const zone = await page.evaluate('Intl.DateTimeFormat().resolvedOptions().timeZone');
    const form = {
      serveBy: '19:30',
      zone: String(zone),
      peopleCount: 8,
      dishes: [{ cut: 'lamb-shoulder', massKg: 2 }],
    };
    const same = planBackwards(askedOf(form, { ...known, nowMs }));
    expect(await stepsOn(page)).toEqual(
      same.steps.map((step) => [step.id, step.atMs, step.bandMs?.[0] ?? null, step.bandMs?.[1] ?? null]),
    );
    expect(await by(page, 'plan-cautions').first().textContent()).toMatch(/lowest shelf/);
    planId = (await attribute(page, '.plan-whole', 'data-plan')) ?? '';
  });

  it('has targets of at least 48 px and stays within 320 px, folded and unfolded', {
    timeout: 60_000,
  }, async () => {
    const wide = page.viewportSize()!;
    await page.setViewportSize({ width: 320, height: 700 });
    expect(await cramped(page)).toEqual({ small: [], overPx: 0 });
    await by(page, 'plan-change').click();
    await by(page, 'plan-form').waitFor(PATIENCE);
    await page.evaluate("document.querySelectorAll('details').forEach((one) => { one.open = true; })");
    expect(await cramped(page)).toEqual({ small: [], overPx: 0 });
    await page.goBack();
    await by(page, 'plan-page').waitFor(PATIENCE);
    await page.evaluate("document.querySelectorAll('details').forEach((one) => { one.open = true; })");
    expect(await cramped(page)).toEqual({ small: [], overPx: 0 });
    await page.setViewportSize(wide);
    await page.reload();
    await by(page, 'plan-page').waitFor(PATIENCE);
  });

  it('has nitrite off until it is asked for, and stops hard at the limit for curing at home', {
    timeout: 60_000,
  }, async () => {
    expect(await by(page, 'plan-nitrite-planned').count()).toBe(0);
    await by(page, 'plan-change').click();
    await by(page, 'plan-form').waitFor(PATIENCE);
    await page.evaluate("document.querySelectorAll('details').forEach((one) => { one.open = true; })");
    expect(await page.locator('#plan-nitrite-grams').count()).toBe(0);
    await page.locator('#plan-nitrite-on').check();
    await page.locator('#plan-nitrite-percent').fill('6.25');
    // 21 CFR 172.170: at most 200 ppm; 6.4 g of 6.25 % on 2 kg are 6.4 x 0.0625 / 2000 = 200 ppm.
    await page.locator('#plan-nitrite-grams').fill('6.5');
    await by(page, 'plan-nitrite').scrollIntoViewIfNeeded();
    await page.screenshot({ path: `${shots}/plan-nitrite.png` });
    await by(page, 'plan-make').click();
    await by(page, 'plan-faults').waitFor(PATIENCE);
    expect(await textOf(page, 'plan-faults')).toMatch(/203 ppm.*over the limit of 200 ppm/);
    await page.locator('#plan-nitrite-grams').fill('6.4');
    await page.locator('#plan-spice-thyme').check();
    await by(page, 'plan-make').click();
    await by(page, 'plan-page').waitFor(PATIENCE);
    const salting = page.locator('[data-test="plan-step"][data-kind="cure"]');
    expect(await salting.textContent()).toMatch(
      /6\.4\sg\sof\scuring\ssalt,\s200\sppm\sof\snitrite.*2\.0\sg\sof\sthyme/,
    );
    await salting.locator('summary').first().click();
    expect(await salting.textContent()).toContain('By weight only');
    await salting.screenshot({ path: `${shots}/plan-cure-step.png` });
    await page.evaluate("document.querySelectorAll('details').forEach((one) => { one.open = true; })");
    expect(await textOf(page, 'plan-nitrite-words')).toMatch(/^200 ppm/);
    await by(page, 'plan-change').click();
    await page.evaluate("document.querySelectorAll('details').forEach((one) => { one.open = true; })");
    await page.locator('#plan-nitrite-on').uncheck();
    await page.locator('#plan-spice-thyme').uncheck();
    await by(page, 'plan-make').click();
    await by(page, 'plan-page').waitFor(PATIENCE);
    expect(await by(page, 'plan-nitrite-planned').count()).toBe(0);
    planId = (await attribute(page, '.plan-whole', 'data-plan')) ?? '';
  });

  it('is kept by a paired phone, seen alike on a second one, and goes into a calendar and onto paper', {
    timeout: 60_000,
  }, async () => {
    await by(page, 'plan-keep').click();
    await pairHere(page);
    await by(page, 'plan-kept').waitFor(PATIENCE);
    const other = await openPhone(browser, controller.url);
    await by(other.page, 'plan-card-open').click(PATIENCE);
    await by(other.page, 'plan-kept').waitFor(PATIENCE);
    expect(await stepsOn(other.page)).toEqual(await stepsOn(page));
    await other.page.context().close();

    const download = page.waitForEvent('download', PATIENCE);
    await by(page, 'plan-calendar').click();
    const file = readFileSync(await (await download).path(), 'utf8');
    const events = new ICAL.Component(ICAL.parse(file)).getAllSubcomponents('vevent');
    const days = (await stepsOn(page)).map(([step]) => step);
    expect(events.length).toBeGreaterThan(8);
    expect(events.length).toBeLessThanOrEqual(days.length);

    await page.emulateMedia({ media: 'print' });
    expect(await page.locator('.plan-sheet').isVisible()).toBe(true);
    expect(await by(page, 'stop-heat').isVisible()).toBe(false);
    expect(await page.locator('.plan-sheet .box').count()).toBeGreaterThan(8);
    await page.emulateMedia({ media: 'screen' });
    expect(await page.locator('.plan-sheet').isVisible()).toBe(false);
  });

  it('becomes a running cook with one touch and its consequence, bags ready to be entered', {
    timeout: 90_000,
  }, async () => {
    await by(page, 'plan-go-start').click();
    expect(await textOf(page, 'consequence')).toMatch(/heats the water to 7\d °C from now on without asking/);
    await by(page, 'plan-start-submit').click();
    expect(await textOf(page, 'missing')).toMatch(/look at the box/);
    for (const tick of ['#cautions-tick', '#box-tick']) await page.locator(tick).check();
    await page.screenshot({ path: `${shots}/plan-start.png` });
    await by(page, 'plan-start-submit').click();
    await page.locator('[data-test="stage"][data-stage="heating"]').waitFor(PATIENCE);
    await page.locator('[data-test="plan-bags"][data-hot="false"]').waitFor(PATIENCE);
    await page.locator('[data-test="plan-bags"][data-hot="true"]').waitFor(PATIENCE);
    const bagId = await attribute(page, '[data-test="plan-bag"]', 'data-bag');
    await by(page, `plan-bag-in-${bagId}`).click();
    await page.locator(`[data-test="bag"][data-bag="${bagId}"]`).waitFor(PATIENCE);
    expect(errors).toEqual([]);
  });

  it('is forecast anew from what was measured while it runs, and says what a moved dinner would do', {
    timeout: 90_000,
  }, async () => {
    await by(page, 'plan-card-open').click(PATIENCE);
    await expect.poll(() => textOf(page, 'plan-likely'), PATIENCE).toMatch(/now likely ready/);
    await by(page, 'plan-dinner').locator('summary').click();
    await by(page, 'plan-options').waitFor(PATIENCE);
    await by(page, 'plan-nudge-2').click();
    await by(page, 'plan-move-trial').waitFor(PATIENCE);
    expect(await textOf(page, 'plan-move-keep')).toMatch(/21:30/);
    const ways = await by(page, 'plan-option').evaluateAll((all) =>
      all.map((one) => one.getAttribute('data-option')),
    );
    expect(ways).toContain('go-on');
    expect(ways).toContain('hold');
    expect(await textOf(page, 'plan-options')).toMatch(/Texture.*Safety/);
    await page.screenshot({ path: `${shots}/plan-moved.png` });
    await by(page, 'plan-move-keep').click();
    await expect
      .poll(
        () => attribute(page, '[data-test="plan-change-seen"][data-kind="dinner-moved"]', 'data-kind'),
        PATIENCE,
      )
      .toBe('dinner-moved');
    expect(await controller.get(`/api/plans/${planId}`).then((answer) => answer.status)).toBe(200);
    expect(errors).toEqual([]);
    await page.context().close();
  });
});

import { mkdirSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { createServer } from 'node:http';
import type { AddressInfo } from 'node:net';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { Browser, Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { type RunningController, startProcess } from '../serve/process.ts';
import { openBrowser, openPhone } from './chromium.ts';
import { bagIn, by, HUT_BAGS, plantDeed, startCook } from './walk.ts';

const PATIENCE = { timeout: 60_000 };
const folder = mkdtempSync(join(tmpdir(), 'bathkeeper-alarms-'));
const shots = (name: string) => ({ path: `tests/browser/out/${name}.png`, fullPage: true });
const bodies: string[] = [];
const hook = createServer((request, response) => {
  let body = '';
  request.on('data', (chunk) => {
    body += chunk;
  });
  request.on('end', () => {
    bodies.push(body);
    response.writeHead(204).end();
  });
});
let browser: Browser;
let controller: RunningController;
let first: Page;
let errors: string[];

beforeAll(async () => {
  mkdirSync('tests/browser/out', { recursive: true });
  await new Promise<void>((resolve) => hook.listen(0, '127.0.0.1', resolve));
  const url = `http://127.0.0.1:${(hook.address() as AddressInfo).port}/call`;
  const secret = join(folder, 'secret');
  writeFileSync(secret, 'a secret of forty characters, no less at all');
  const people = [
    {
      id: 'warden',
      name: 'Warden',
      channels: [{ kind: 'webhook', url, secret: { file: secret } }, { kind: 'push' }],
    },
  ];
  const config = join(folder, 'bathkeeper.json');
  writeFileSync(
    config,
    JSON.stringify({ reach: { people, push: { contact: 'mailto:warden@hut.example' } } }),
  );
  controller = await startProcess(join(folder, 'data'), ['--config', config]);
  browser = await openBrowser();
  ({ page: first, errors } = await openPhone(browser, controller.url));
  await startCook(first, controller, 68);
  await bagIn(first, HUT_BAGS[2]!);
});
afterAll(async () => {
  await browser?.close();
  await controller?.kill();
  hook.close();
  rmSync(folder, { recursive: true, force: true });
});

describe('an alarm on two pages', { timeout: 120_000 }, () => {
  it('that one page shows is acknowledged on the other, and both say by whom', async () => {
    const second = await openPhone(browser, controller.url);
    await plantDeed(first, 'plant-probe-bath-absent');
    for (const page of [first, second.page]) {
      await by(page, 'alarm-probe-invalid').waitFor(PATIENCE);
      await expect
        .poll(() => by(page, 'alarm-probe-invalid').getAttribute('data-state'))
        .toBe('unacknowledged');
    }
    await first.screenshot(shots('alarm-first'));
    await by(second.page, 'acknowledge-probe-invalid').click();
    for (const page of [first, second.page]) {
      await expect
        .poll(() => by(page, 'alarm-probe-invalid').getAttribute('data-state'), PATIENCE)
        .toBe('acknowledged');
      await expect
        .poll(() => by(page, 'alarm-probe-invalid').textContent(), PATIENCE)
        .toContain('acknowledged, still so by unpaired phone');
      expect(await by(page, 'acknowledge-probe-invalid').count()).toBe(0);
    }
    await second.page.screenshot(shots('alarm-second'));
    expect([...errors, ...second.errors]).toEqual([]);
    await second.page.context().close();
  });

  it('is shelved only with a reason and its consequence read, is listed with both, and brought back', async () => {
    await by(first, 'go-alarm-list').click();
    await by(first, 'at-rest').click(PATIENCE);
    await by(first, 'row-rig-drift').waitFor(PATIENCE);
    await first.screenshot(shots('alarm-list'));
    expect(await by(first, 'go-shelve-over-temperature').count()).toBe(0);
    await by(first, 'go-shelve-second-probe-lost').click();
    await by(first, 'shelve-submit').click();
    expect(await by(first, 'missing').textContent()).toMatch(/why/i);
    await first.locator('#shelve-reason').fill('waiting for a new probe');
    await first.locator('#shelve-read').check();
    await first.screenshot(shots('alarm-shelve'));
    await by(first, 'shelve-submit').click();
    const row = by(first, 'row-second-probe-lost');
    await expect.poll(() => row.getAttribute('data-state'), PATIENCE).toBe('shelved');
    expect(await row.textContent()).toContain('waiting for a new probe');
    await first.screenshot(shots('alarm-list-shelved'));
    await by(first, 'back-second-probe-lost').click();
    await expect.poll(() => row.getAttribute('data-state'), PATIENCE).toBe('normal');
    expect(errors).toEqual([]);
    await by(first, 'back').click();
  });
});

describe('a command whose answer is lost', { timeout: 120_000 }, () => {
  it('counts once when the cook presses again', async () => {
    await first.goto(controller.url);
    const bag = await by(first, 'bag').first().getAttribute('data-bag', PATIENCE);
    const carriedOut: number[] = [];
    await first.route('**/api/command', async (route) => {
      // The controller carries it out; the answer never comes back.
      carriedOut.push((await route.fetch()).status());
      await route.abort();
    });
    const answer = by(first, 'fork-not-yet');
    await by(first, `fork-${bag}`).click(PATIENCE);
    await answer.click(PATIENCE);
    await by(first, 'trouble').waitFor(PATIENCE);
    expect(carriedOut).toEqual([200]);
    await first.unroute('**/api/command');
    await answer.click(PATIENCE);
    await by(first, 'watch').waitFor(PATIENCE);
    const cooks = (await (await controller.get('/api/cooks')).json()) as { cookId: string }[];
    const record = await controller.get(`/api/cooks/${cooks.at(-1)?.cookId}/export.json`);
    const { commands } = (await record.json()) as { commands: { command: { kind: string } }[] };
    expect(commands.filter(({ command }) => command.kind === 'fork-test').length).toBe(1);
  });
});

describe('the page that shows who can be reached', { timeout: 120_000 }, () => {
  it('sends a test, takes its answer, and shows each delivery with its outcome', async () => {
    await by(first, 'go-reach').click();
    await by(first, 'way').first().waitFor(PATIENCE);
    bodies.length = 0;
    await by(first, 'way').first().locator('button').click();
    await expect.poll(() => bodies.some((body) => body.includes('"kind":"test"')), PATIENCE).toBe(true);
    const { code } = JSON.parse(bodies.find((body) => body.includes('"kind":"test"')) ?? '{}') as {
      code: string;
    };
    await first.locator('#answer-code').fill(code);
    await by(first, 'answer-send').click();
    await expect.poll(() => by(first, 'answered').getAttribute('data-answered'), PATIENCE).toBe('true');
    await expect
      .poll(() => first.locator('[data-test="deliveries"] [data-outcome="answered"]').count(), PATIENCE)
      .toBe(1);
    expect(await first.locator('[data-test="deliveries"] [data-outcome="accepted"]').count()).toBeGreaterThan(
      0,
    );
    await first.screenshot(shots('reach'));
    expect(errors).toEqual([]);
  });

  it('installs the worker of notifications, and says in words why a subscription did not come about', async () => {
    // On the name localhost, where browsers allow it; this browser has no push service behind it.
    const context = await browser.newContext({ viewport: { width: 390, height: 844 } });
    const url = controller.url.replace('127.0.0.1', 'localhost');
    await context.grantPermissions(['notifications'], { origin: url });
    const page = await context.newPage();
    await page.goto(`${url}/#reach`);
    await by(page, 'push-on-warden').click(PATIENCE);
    await by(page, 'trouble').or(by(page, 'pair-form')).first().waitFor(PATIENCE);
    expect(await by(page, 'trouble').textContent()).toMatch(/push service gave no subscription/);
    const worker = await page.evaluate(
      'navigator.serviceWorker.ready.then((registration) => registration.active?.scriptURL ?? null)',
    );
    expect(worker).toBe(`${url}/push-worker.js`);
    await page.screenshot(shots('reach-push'));
    await context.close();
  });

  it('says on plain http that notifications need https, and offers no button', async () => {
    const context = await browser.newContext({ viewport: { width: 390, height: 844 } });
    const page = await context.newPage();
    // As a phone would see it: the page of the controller under a name that is no secure context.
    await page.addInitScript({
      content: "Object.defineProperty(window, 'isSecureContext', { value: false });",
    });
    await page.goto(`${controller.url}/#reach`);
    await expect.poll(() => by(page, 'push-why').textContent(), PATIENCE).toMatch(/plain http/);
    expect(await by(page, 'push-on-warden').count()).toBe(0);
    await context.close();
  });

  it('styles the page behind the link of a test within its own content policy', async () => {
    const context = await browser.newContext({ viewport: { width: 390, height: 844 } });
    const page = await context.newPage();
    const refused: string[] = [];
    page.on('console', (message) => message.type() === 'error' && refused.push(message.text()));
    await page.goto(`${controller.url}/reach/answer?code=ABCD-EFGH`);
    const height = await page.locator('button').evaluate((button) => button.getBoundingClientRect().height);
    expect(height).toBeGreaterThanOrEqual(48);
    expect(refused.filter((text) => /policy/i.test(text))).toEqual([]);
    await page.screenshot(shots('answer'));
    await context.close();
  });
});

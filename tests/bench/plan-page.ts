import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { openBrowser, openPhone } from '../browser/chromium.ts';
import { by } from '../browser/walk.ts';
import { startProcess } from '../serve/process.ts';

/**
 * Time the planner takes in the page, by the page's own clock around the one call: eight different bags in one bath,
 * planned again and again with one value changed. `node --import tsx tests/bench/plan-page.ts`
 */
const CUTS = [
  'lamb-shoulder',
  'pork-neck',
  'beef-chuck',
  'duck-leg',
  'pork-belly',
  'beef-short-ribs',
  'lamb-shank',
  'venison-shoulder',
];
const TIMES = 12;

const folder = mkdtempSync(join(tmpdir(), 'bathkeeper-plan-bench-'));
const controller = await startProcess(folder);
const browser = await openBrowser();
try {
  const { page } = await openPhone(browser, controller.url);
  await by(page, 'go-plan').click();
  await page.locator('.plan-line-entry summary').click();
  await page
    .locator('#plan-line')
    .fill(`${CUTS.map((cut) => `${cut.replaceAll('-', ' ')}, 1 kg`).join(', ')}, 19:30`);
  await by(page, 'plan-line-read').click();
  await by(page, 'plan-day-date').check();
  const day = new Date(Date.now() + 4 * 86_400_000).toISOString().slice(0, 10);
  await page.locator('#plan-date').fill(day);
  await by(page, 'plan-more').locator('summary').click();
  const took: number[] = [];
  for (let i = 0; i < TIMES; i++) {
    // A temperature that is asked for and one that the planner chooses, in turn.
    await page.locator('#plan-bath').fill(i % 2 === 0 ? '' : String(72 + i / 2));
    await by(page, 'plan-make').click();
    await by(page, 'plan-page').waitFor();
    const whole = page.locator('.plan-whole');
    if (i === 0) console.log(`status ${await whole.getAttribute('data-status')}`);
    took.push(Number(await whole.getAttribute('data-took')));
    await by(page, 'plan-change').click();
    await by(page, 'plan-more').locator('summary').click();
  }
  const name = (odd: number) => (odd === 0 ? 'chosen' : 'given');
  for (const odd of [0, 1]) {
    const own = took.filter((_, i) => i % 2 === odd && i > 1).sort((a, b) => a - b);
    const middle = own[Math.floor(own.length / 2)] ?? Number.NaN;
    console.log(
      `eight bags, temperature ${name(odd)}: first ${took[odd]?.toFixed(0)} ms, then least ${own[0]?.toFixed(0)} ms, median ${middle.toFixed(0)} ms (${own.map((ms) => ms.toFixed(0)).join(', ')})`,
    );
  }
} finally {
  await browser.close();
  await controller.kill();
  rmSync(folder, { recursive: true, force: true });
}

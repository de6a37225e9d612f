import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { gzipSync } from 'node:zlib';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { PAIRING_CODE } from './fake-server.ts';
import { type Bench, openBench } from './page-bench.ts';
import { by } from './walk.ts';

/** The page itself in a real browser, against a stand-in that can be silent, babble and break. */
const TARGETS =
  'button, a, select, summary, input:not([type=radio], [type=checkbox]), label.option, label.tick';
const VIEWS = ['', 'start', 'setpoint', 'bag-in', 'bag-edit/neck', 'bag-out/neck', 'allow-heat', 'end-cook'];
const MORE_VIEWS = [
  ...['fork-test/neck', 'bag-lies/neck', 'cold-spot/neck', 'how'],
  ...['pair', 'past', 'cautions', 'phone', 'plant'],
];
let bench: Bench;
const visit: Bench['visit'] = (scene, look, options) => bench.visit(scene, look, options);

beforeAll(async () => {
  bench = await openBench();
});
afterAll(async () => {
  await bench?.close();
});

describe('The first load', () => {
  test('is less than 110 kB compressed in all, as a browser asks for it', async () => {
    const seen = new Map<string, number>();
    await visit(
      'holding',
      async ({ page }) => {
        page.on('response', (response) => {
          const name = new URL(response.url()).pathname;
          // What the page asks of the controller is no part of the page.
          if (name.startsWith('/api/')) return;
          seen.set(
            name,
            gzipSync(readFileSync(join(bench.assets, name === '/' ? 'index.html' : name))).length,
          );
        });
        await page.reload();
        await page.locator('[data-contact="live"]').first().waitFor();
      },
      { hash: '' },
    );
    const total = [...seen.values()].reduce((sum, one) => sum + one, 0);
    expect(seen.size).toBeGreaterThanOrEqual(3);
    expect(total).toBeGreaterThan(50_000);
    expect(total).toBeLessThan(110_000);
    expect([...seen.keys()].join()).not.toMatch(/models|plant/);
  });
});

describe('Every view', () => {
  test.each([...VIEWS, ...MORE_VIEWS])(
    '#%s has targets of at least 48 px and stays within 320 px',
    async (hash) => {
      await visit(
        'alarm',
        async ({ page }) => {
          const boxes = await page.locator(TARGETS).evaluateAll((all) =>
            all.map((one) => {
              const { width, height } = one.getBoundingClientRect();
              return { text: String(one.textContent), width, height };
            }),
          );
          expect(boxes.length).toBeGreaterThan(2);
          const small = boxes.filter((box) => box.width > 0 && (box.height < 48 || box.width < 48));
          expect(small).toEqual([]);
          expect(await page.evaluate<number>('document.documentElement.scrollWidth')).toBeLessThanOrEqual(
            320,
          );
          expect(await by(page, 'stop-heat').isVisible()).toBe(true);
          const nameless = await page
            .locator('button:not([aria-label])')
            .evaluateAll((all) => all.filter((one) => one.textContent?.trim() === '').length);
          expect(nameless).toBe(0);
        },
        { hash, width: 320 },
      );
    },
  );

  test('speaks °F throughout once that is chosen', async () => {
    await visit('alarm', async ({ page, fake }) => {
      await by(page, 'can-alarm').click();
      await by(page, 'unit-F').check();
      for (const hash of VIEWS) {
        await page.goto(`${fake.url}#${hash}`);
        const text = String(await page.locator('main').textContent());
        if (hash === '' || hash === 'setpoint') expect(text).toMatch(/\d\s?°F/);
        expect(text).not.toMatch(/\d\s?°C/);
      }
    });
  });
});

describe('Stopping the heat', () => {
  test('takes one touch on any view, unpaired, and leaves a half-filled form as it was', async () => {
    await visit(
      'holding',
      async ({ page, fake }) => {
        await page.locator('#thickness').fill('62');
        await by(page, 'stop-heat').click();
        await page.locator('[data-test="stop-heat"][data-stopped="true"]').waitFor();
        expect(fake.commands).toMatchObject([{ kind: 'stop-heat' }]);
        expect(await page.locator('#thickness').inputValue()).toBe('62');
      },
      { hash: 'bag-in' },
    );
  });

  test('says what to do when the controller cannot be reached', async () => {
    await visit('holding', async ({ page }) => {
      await page.context().setOffline(true);
      await by(page, 'stop-heat').click();
      await expect.poll(() => by(page, 'trouble').first().textContent()).toContain('plug');
    });
  });
});

describe('A guarded command', () => {
  test('leads an unpaired phone to pairing, goes on from there, and asks about a low setpoint by its consequence', async () => {
    await visit(
      'holding',
      async ({ page, fake }) => {
        await page.locator('#setpoint').fill('56');
        await by(page, 'setpoint-submit').click();
        await page.locator('#pair-code').fill('000000');
        await page.locator('#pair-name').fill('night watch');
        await by(page, 'pair-submit').click();
        await page.locator('[data-code="wrong-code"]').waitFor();
        await page.locator('#pair-code').fill(PAIRING_CODE);
        await by(page, 'pair-submit').click();
        await by(page, 'low-setpoint').waitFor();
        expect(await by(page, 'low-setpoint').textContent()).toContain('57.2');
        expect(fake.commands).toEqual([]);
        await by(page, 'low-setpoint-sure').click();
        await by(page, 'watch').waitFor();
        expect(fake.commands).toMatchObject([
          { kind: 'set-setpoint', setpointC: 56, lowSetpointConfirmed: true },
        ]);
      },
      { hash: 'setpoint' },
    );
  });
});

describe('A link that fails', () => {
  test('shows as not connected, with the number old, and comes back with nothing missing or doubled', async () => {
    await visit('holding', async ({ page, fake }) => {
      fake.silent = true;
      await by(page, 'not-connected').waitFor({ timeout: 60_000 });
      expect(await by(page, 'bath').getAttribute('data-current')).toBe('false');
      expect(await by(page, 'reading-words').textContent()).toMatch(/^Last known, measured \d+ s ago$/);
      expect(await page.title()).toContain('Not connected');
      fake.silent = false;
      await by(page, 'try-now').click();
      await by(page, 'not-connected').waitFor({ state: 'detached' });
      const chart = by(page, 'chart');
      await expect.poll(() => chart.getAttribute('data-gaps')).toBe('0');
      const rows = Number(await chart.getAttribute('data-raw-rows'));
      const first = Number(await chart.getAttribute('data-raw-first'));
      const last = Number(await chart.getAttribute('data-last-sequence'));
      expect(last - first + 1).toBe(rows);
    });
  });

  test('tells what it could not read, and recovers', async () => {
    await visit('holding', async ({ page, fake }) => {
      fake.refusing = true;
      fake.babble('{"type":"surprise"}');
      await by(page, 'link-fault').waitFor({ timeout: 60_000 });
      fake.refusing = false;
      await by(page, 'try-now').click();
      await by(page, 'not-connected').waitFor({ state: 'detached' });
    });
  });
});

describe('An alarm', () => {
  test('flashes at 2 Hz at most, and not at all where motion is unwanted', async () => {
    const seconds = async (calm: boolean) =>
      visit(
        'alarm',
        ({ page }) =>
          page.evaluate<(number | null)[]>(
            `[...document.querySelectorAll('.mark')].map(getComputedStyle).map((style) =>
              style.animationName === 'none' ? null : Number.parseFloat(style.animationDuration))`,
          ),
        { calm },
      );
    const moving = (await seconds(false)).filter((one) => one !== null);
    expect(moving.length).toBeGreaterThan(0);
    expect(Math.min(...moving)).toBeGreaterThanOrEqual(0.5);
    expect((await seconds(true)).every((one) => one === null)).toBe(true);
  });

  test('can be heard from this phone only after a touch, and the page says so before and after', async () => {
    await visit('alarm', async ({ page }) => {
      const can = by(page, 'can-alarm');
      expect(await can.getAttribute('data-can')).toBe('false');
      await page.locator('h2').first().click();
      await expect.poll(() => can.getAttribute('data-can')).toBe('true');
    });
  });

  test('tells what was seen, what to do, why and what follows, and is acknowledged by one touch', async () => {
    await visit('alarm', async ({ page, fake }) => {
      const alarm = by(page, 'alarm-bath-below-hot-limit');
      const text = await alarm.textContent();
      for (const part of ['High priority', 'Seen 56.1 °C', 'Do this', 'Cause', 'If nothing is done']) {
        expect(text).toContain(part);
      }
      await by(page, 'acknowledge-bath-below-hot-limit').click();
      await expect.poll(() => alarm.getAttribute('data-state')).toBe('acknowledged');
      expect(fake.commands).toMatchObject([{ kind: 'acknowledge', alarmId: 'bath-below-hot-limit' }]);
    });
  });
});

import type { Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { foodModels } from '../../shared/food/models.ts';
import { HAZARD_LEDGER } from '../../shared/hazard/ledger.ts';
import { TENDER_LEDGER } from '../../shared/tender/ledger.ts';
import { PAIRING_CODE } from './fake-server.ts';
import { type Bench, openBench } from './page-bench.ts';
import { by } from './walk.ts';

/** What the page tells of the food, and what a cook can say of it, in a real browser. */
let bench: Bench;
beforeAll(async () => {
  bench = await openBench();
});
afterAll(async () => {
  await bench?.close();
});

/** Pairs this phone where the page asks for it. */
async function pair(page: Page): Promise<void> {
  await page.locator('#pair-code').fill(PAIRING_CODE);
  await page.locator('#pair-name').fill('night watch');
  await by(page, 'pair-submit').click();
}

describe('A broken rule', () => {
  test('stands in the first screen in words and leads to its bag, which says what the rule asks and who decides', async () => {
    await bench.visit('broken', async ({ page }) => {
      const way = by(page, 'go-broken');
      const box = await way.boundingBox();
      expect(box!.y + box!.height).toBeLessThan(844 - 100);
      expect(await way.textContent()).toContain('A rule is broken: Lamb shoulder 1');
      await way.click();
      const bag = page.locator('[data-test="bag"][data-bag="lamb-1"]');
      const safety = bag.locator('[data-test="safety"]');
      expect(await safety.getAttribute('data-state')).toBe('broken');
      const text = await safety.textContent();
      for (const part of ['6 h 00 min', 'does not heal', 'What it asks', 'person in charge', 'Rule:']) {
        expect(text).toContain(part);
      }
      expect(text).not.toMatch(/passed at/);
      const order = await bag
        .locator('[data-test]')
        .evaluateAll((all) => all.map((one) => one.getAttribute('data-test')));
      expect(order).toContain('safety');
      expect(order.indexOf('safety')).toBeLessThan(order.indexOf('ready'));
      expect(order.indexOf('safety')).toBeLessThan(order.indexOf('lethality'));
    });
  });
});

describe('A bag in the bath', () => {
  test('says where its core may be, when it is ready as a span with odds, its standard as worded and as an equivalent', async () => {
    await bench.visit('holding', async ({ page }) => {
      const bag = page.locator('[data-test="bag"][data-bag="lamb-1"]');
      const text = async (name: string) =>
        String(await bag.locator(`[data-test="${name}"]`).first().textContent());
      expect(await text('core-span')).toMatch(/ to .*coldest to hottest case, modelled/);
      expect(await text('ready')).toMatch(
        /Likely between \S+ and \S+.*10 to 90 %.*Odds.*times the middle.*published/,
      );
      expect(await text('lethality')).toMatch(
        /Salmonella.*As worded.*60\.0.°C, 12 min.*As an equivalent.*log10/,
      );
      expect(await text('come-up')).toContain('6 h 00 min');
      expect(await text('growth')).toContain('log10');
      const details = bag.locator('[data-test="bag-details"]');
      expect(await details.locator('[data-test="moisture"]').isVisible()).toBe(false);
      await details.locator('summary').click();
      expect(await details.locator('[data-test="moisture"]').isVisible()).toBe(true);
      expect(await details.textContent()).toMatch(/Source: .*Mind: /);
      expect(await by(page, 'profile').textContent()).toContain('Conservative');
    });
  });

  test('takes a fork test by three large buttons, after pairing, and lists it with the others', async () => {
    await bench.visit('holding', async ({ page, fake }) => {
      await by(page, 'fork-lamb-1').click();
      for (const answer of ['not-yet', 'nearly', 'ready']) {
        const box = await by(page, `fork-${answer}`).boundingBox();
        expect(Math.min(box!.height, box!.width)).toBeGreaterThanOrEqual(80);
      }
      await by(page, 'fork-nearly').click();
      await pair(page);
      await by(page, 'watch').waitFor();
      expect(fake.commands).toMatchObject([{ kind: 'fork-test', bagId: 'lamb-1', answer: 'nearly' }]);
      await expect
        .poll(() => by(page, 'fork-tests').first().textContent())
        .toContain('nearly, by fake phone');
    });
  });

  test('says before what follows from lying afloat, and shows it on its card afterwards', async () => {
    await bench.visit('holding', async ({ page, fake }) => {
      await by(page, 'lies-lamb-1').click();
      expect(await by(page, 'lies-afloat').textContent()).toContain('no heat is credited');
      await by(page, 'lies-afloat').click();
      await pair(page);
      await page.locator('[data-bag="lamb-1"] [data-test="lies"][data-lies="afloat"]').waitFor();
      expect(fake.commands).toMatchObject([{ kind: 'bag-lies', bagId: 'lamb-1', lies: 'afloat' }]);
    });
  });

  test('asks for the cold spot only where a probe is in the piece, names the consequence, and shows doubts in words', async () => {
    await bench.visit('broken', async ({ page, fake }) => {
      expect(await by(page, 'probe-flag').first().textContent()).toContain('hotter than the meat can be');
      await by(page, 'choose-lamb-2').click();
      expect(await by(page, 'cold-spot-lamb-2').count()).toBe(0);
      await by(page, 'choose-neck').click();
      await by(page, 'cold-spot-neck').click();
      expect(await by(page, 'consequence').textContent()).toContain('raw food look cooked');
      await by(page, 'way-other').check();
      await by(page, 'cold-spot-submit').click();
      await by(page, 'missing').waitFor();
      expect(fake.commands).toEqual([]);
      await by(page, 'way-places').check();
      await by(page, 'cold-spot-submit').click();
      await pair(page);
      await by(page, 'watch').waitFor();
      expect(fake.commands).toMatchObject([
        { kind: 'cold-spot', bagId: 'neck', how: 'the lowest of three places' },
      ]);
    });
  });

  test('once out keeps its broken rule in view, and another bag opens', async () => {
    await bench.visit('broken', async ({ page }) => {
      await by(page, 'out-lamb-1').click();
      expect(await by(page, 'bag-out-page').textContent()).toContain('A rule is broken');
      await by(page, 'bag-out-confirm').click();
      await pair(page);
      await page.locator('[data-test="bags-out"] [data-state="broken"]').waitFor();
      expect(await by(page, 'bags-out').textContent()).toContain('What it asks');
      expect(await page.locator('.bag.open').getAttribute('data-bag')).toBe('lamb-2');
      expect(await by(page, 'go-broken').count()).toBe(0);
    });
  });

  test('goes in with what is wanted of the dish', async () => {
    await bench.visit(
      'holding',
      async ({ page, fake }) => {
        expect(await by(page, 'endpoint-fork-tender').count()).toBe(0);
        await page.locator('#cut').selectOption('lamb-shoulder');
        expect(await by(page, 'endpoint-fork-tender').isChecked()).toBe(true);
        await by(page, 'endpoint-shreds').check();
        await page.locator('#thickness').fill('60');
        await by(page, 'bag-submit').click();
        await pair(page);
        await by(page, 'watch').waitFor();
        expect(fake.commands).toMatchObject([{ kind: 'bag-in', bag: { endpoint: 'shreds' } }]);
      },
      { hash: 'bag-in' },
    );
  });
});

describe('How it knows', () => {
  test('is one touch from the foot: every model of the records with source, range, check and weakness', async () => {
    await bench.visit('holding', async ({ page }) => {
      await by(page, 'go-how').click();
      await by(page, 'models').waitFor();
      const records = [...foodModels, ...HAZARD_LEDGER, ...TENDER_LEDGER];
      const rows = by(page, 'model');
      expect(await rows.count()).toBe(records.length);
      for (const [i, record] of records.entries()) {
        const text = await rows.nth(i).textContent();
        for (const part of [record.model, record.source, record.range, record.check, record.weakness]) {
          expect(text).toContain(part);
        }
      }
    });
  });

  test('says what to do where the table cannot be fetched, and tries again', async () => {
    await bench.visit('holding', async ({ page }) => {
      await page.route('**/models-*.js', (route) => route.abort());
      await by(page, 'go-how').click();
      await by(page, 'fetch-failed').waitFor();
      expect(await by(page, 'models').count()).toBe(0);
      await page.unroute('**/models-*.js');
      await by(page, 'fetch-again').click();
      await by(page, 'models').waitFor();
      await by(page, 'back').click();
      await by(page, 'watch').waitFor();
    });
  });
});

describe('The head of the page', () => {
  test.each([390, 320])(
    'at %d px keeps name, link, alarm and temperature apart and whole, also when old',
    async (width) => {
      await bench.visit(
        'alarm',
        async ({ page, fake }) => {
          fake.silent = true;
          await by(page, 'not-connected').waitFor({ timeout: 60_000 });
          const parts = await page.evaluate<
            { name: string; box: [number, number, number, number]; cut: boolean }[]
          >(`
          ['kitchen', 'contact', 'small-bath', 'can-alarm'].map((name) => {
            const one = document.querySelector('[data-test="' + name + '"]');
            const { left, top, right, bottom } = one.getBoundingClientRect();
            return { name, box: [left, top, right, bottom], cut: one.scrollWidth > one.clientWidth + 1 && one.clientWidth > 0 };
          })`);
          for (const part of parts) {
            expect(part).toMatchObject({ cut: false });
            expect(part.box[0]).toBeGreaterThanOrEqual(0);
            expect(part.box[2]).toBeLessThanOrEqual(width);
            expect(part.box[2] - part.box[0]).toBeGreaterThan(20);
          }
          for (const a of parts) {
            for (const b of parts) {
              if (a === b) continue;
              const apart =
                a.box[2] <= b.box[0] || b.box[2] <= a.box[0] || a.box[3] <= b.box[1] || b.box[3] <= a.box[1];
              expect({ a: a.name, b: b.name, apart }).toMatchObject({ apart: true });
            }
          }
          expect(await by(page, 'small-bath').textContent()).toContain('old');
        },
        { width },
      );
    },
  );
});

import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import type { Page } from 'playwright-core';
import { build } from 'vite';
import { expect } from 'vitest';
import { openBrowser, PHONE } from './chromium.ts';
import type { Scene } from './fake-hut.ts';
import { type FakeServer, startFakeServer } from './fake-server.ts';

const ROOT = fileURLToPath(new URL('../../', import.meta.url));

export interface Visit {
  readonly page: Page;
  readonly fake: FakeServer;
}

export interface VisitOptions {
  readonly hash?: string;
  readonly width?: number;
  /** True: the phone asks for little motion. */
  readonly calm?: boolean;
}

/** The page as built from the sources, and a browser to look at it with. */
export interface Bench {
  readonly assets: string;
  /** Opens the page on a scene of the fake hut; fails if the page logged an error. */
  visit<T>(scene: Scene, look: (visit: Visit) => Promise<T>, options?: VisitOptions): Promise<T>;
  close(): Promise<void>;
}

/** Builds the page into a folder of its own and opens a browser. */
export async function openBench(): Promise<Bench> {
  const assets = mkdtempSync(join(tmpdir(), 'bathkeeper-monitor-'));
  // Under the test runner the page would be built for development: a tenth larger than what a phone gets.
  const { NODE_ENV = 'test' } = process.env;
  process.env.NODE_ENV = 'production';
  await build({
    root: join(ROOT, 'monitor'),
    configFile: join(ROOT, 'vite.config.ts'),
    logLevel: 'error',
    build: { outDir: assets, emptyOutDir: true },
  });
  process.env.NODE_ENV = NODE_ENV;
  const browser = await openBrowser();
  return {
    assets,
    async visit(scene, look, options = {}) {
      const fake = await startFakeServer(scene, assets);
      const context = await browser.newContext({
        viewport: { ...PHONE, width: options.width ?? PHONE.width },
        hasTouch: true,
        isMobile: true,
        reducedMotion: options.calm ? 'reduce' : 'no-preference',
      });
      const page = await context.newPage();
      const errors: string[] = [];
      page.on('pageerror', (error) => errors.push(error.message));
      page.on('console', (message) => {
        const expected = /WebSocket|Failed to load resource/.test(message.text());
        if (message.type() === 'error' && !expected) errors.push(message.text());
      });
      try {
        await page.goto(`${fake.url}#${options.hash ?? ''}`);
        await page.locator('[data-contact="live"]').first().waitFor();
        const result = await look({ page, fake });
        expect(errors).toEqual([]);
        return result;
      } finally {
        await context.close();
        await fake.close();
      }
    },
    async close() {
      await browser.close();
      rmSync(assets, { recursive: true, force: true });
    },
  };
}

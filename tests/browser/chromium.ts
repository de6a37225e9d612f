import { existsSync } from 'node:fs';
import { type Browser, chromium, type Page } from 'playwright-core';

/** Chromium must not reach for the outside: on a closed network it would wait for its own services. */
const QUIET = [
  '--no-sandbox',
  '--disable-gpu',
  '--disable-quic',
  '--no-first-run',
  '--disable-background-networking',
  '--disable-component-update',
  '--disable-sync',
];

export const PHONE = { width: 390, height: 844 } as const;
export const DESK = { width: 1280, height: 800 } as const;

/** Debian's Chromium, or the one named by BATHKEEPER_CHROMIUM. */
export async function openBrowser(): Promise<Browser> {
  const path = process.env.BATHKEEPER_CHROMIUM ?? '/usr/bin/chromium';
  if (!existsSync(path)) {
    throw new Error(
      `There is no Chromium at ${path}. On Debian: apt-get install -y chromium. Elsewhere set BATHKEEPER_CHROMIUM to its path.`,
    );
  }
  return chromium.launch({ executablePath: path, args: QUIET });
}

/** A phone's page; anything it logs as an error is collected. */
export async function openPhone(browser: Browser, url: string): Promise<{ page: Page; errors: string[] }> {
  const context = await browser.newContext({
    viewport: PHONE,
    deviceScaleFactor: 2,
    hasTouch: true,
    isMobile: true,
  });
  const page = await context.newPage();
  const errors: string[] = [];
  page.on('pageerror', (error) => errors.push(error.message));
  page.on('console', (message) => {
    if (
      message.type() === 'error' &&
      !/WebSocket|ERR_CONNECTION|Failed to load resource/.test(message.text())
    ) {
      errors.push(message.text());
    }
  });
  await page.goto(url);
  return { page, errors };
}

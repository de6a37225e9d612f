import type { Locator, Page } from 'playwright-core';
import type { RunningController } from '../serve/process.ts';

/** The hands of a cook on the page, by its data-test names. */
export const by = (page: Page, name: string) => page.locator(`[data-test="${name}"]`);

/** The text of something on the page. */
export const textOf = async (one: Locator) => (await one.textContent()) ?? '';

const PATIENCE = { timeout: 60_000 };

/** Starts a cook: name, setpoint, cautions read; pairs the phone when asked to. */
export async function startCook(page: Page, controller: RunningController, setpoint: number): Promise<void> {
  await by(page, 'go-start').click(PATIENCE);
  await page.locator('#cook-name-field').fill('Hut supper');
  await page.locator('#setpoint').fill(String(setpoint));
  for (const tick of ['#cautions-tick', '#box-tick']) {
    if (await page.locator(tick).count()) await page.locator(tick).check();
  }
  await by(page, 'start-submit').click();
  const form = by(page, 'pair-form');
  await Promise.race([form.waitFor(PATIENCE), by(page, 'stage').waitFor(PATIENCE)]);
  if (await form.count()) {
    const code = [...controller.output().matchAll(/Pairing code for a phone: (\d{6})/g)].at(-1)?.[1] ?? '';
    await page.locator('#pair-code').fill(code);
    await page.locator('#pair-name').fill('Hut phone');
    await by(page, 'pair-submit').click();
  }
  await page.locator('[data-test="stage"][data-stage="heating"]').waitFor(PATIENCE);
}

export interface BagEntry {
  readonly cut: string;
  readonly label: string;
  readonly thicknessMm: number;
  readonly massKg: number;
}

/** The hut's three bags. */
export const HUT_BAGS: readonly BagEntry[] = [
  { cut: 'lamb-shoulder', label: 'Lamb shoulder 1', thicknessMm: 55, massKg: 1.1 },
  { cut: 'lamb-shoulder', label: 'Lamb shoulder 2', thicknessMm: 60, massKg: 1.2 },
  { cut: 'pork-neck', label: 'Pork neck', thicknessMm: 70, massKg: 1.4 },
];

/** Enters a bag that has just gone in. */
export async function bagIn(page: Page, bag: BagEntry): Promise<void> {
  const next = by(page, 'next-bag-in');
  await ((await next.count()) ? next : by(page, 'go-bag-in')).first().click(PATIENCE);
  await page.locator('#cut').selectOption(bag.cut);
  await page.locator('#bag-label').fill(bag.label);
  await page.locator('#thickness').fill(String(bag.thicknessMm));
  await page.locator('#mass').fill(String(bag.massKg));
  await by(page, 'bag-submit').click();
  await page.locator(`[data-test="bag"][data-label="${bag.label}"]`).waitFor(PATIENCE);
}

/** Does something to the simulated bath through the developer panel. */
export async function plantDeed(page: Page, ...names: string[]): Promise<void> {
  await by(page, 'go-plant').click(PATIENCE);
  for (const name of names) await by(page, name).click(PATIENCE);
  await by(page, 'back').click();
}

/** Takes a bag out, by its label. */
export async function bagOut(page: Page, label: string): Promise<void> {
  const bag = page.locator(`[data-test="bag"][data-label="${label}"]`);
  const id = await bag.getAttribute('data-bag');
  const out = by(page, `out-${id}`);
  if (!(await out.isVisible())) await by(page, `choose-${id}`).click();
  await out.click(PATIENCE);
  await by(page, 'bag-out-confirm').click(PATIENCE);
  await bag.waitFor({ state: 'detached', timeout: 60_000 });
}

/** "Lamb shoulder, 2 kg, eight people, 19:30", and the plan of it. */
export async function askSupper(page: Page): Promise<void> {
  await by(page, 'go-plan').click(PATIENCE);
  await page.locator('#plan-cut').selectOption('lamb-shoulder');
  await page.locator('#plan-mass').fill('2');
  await page.locator('#plan-people').fill('8');
  await page.locator('#plan-time').fill('19:30');
  await by(page, 'plan-make').click();
  await by(page, 'plan-page').waitFor(PATIENCE);
}

import { mkdirSync } from 'node:fs';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { calibrationFrom } from '../../controller/rig/calibrate/fit.ts';
import { probeFacts } from '../../controller/rig/calibrate/reckon.ts';
import { checkConfig } from '../../shared/wire/config.ts';
import { AT_MS, DAY_MS, icePoint, input, ROM, referencePoint } from '../standards/calibrate-points.ts';
import { HUT } from './fake-hut.ts';
import { type Bench, openBench } from './page-bench.ts';
import { by } from './walk.ts';

const SHOTS = 'tests/browser/out';
/** A probe of another serial number, with its check byte. */
const CORE = '28426B0100000180';
let bench: Bench;

/** What the controller tells of a bath probe calibrated at `AT_MS`, so many days later. */
function factsAfter(days: number): typeof HUT.probes {
  const made = calibrationFrom(input(icePoint(-0.2), referencePoint(65, 64.7)));
  if (!made.ok) throw new Error(made.faults.map(({ text }) => text).join('\n'));
  const rig = { probes: [{ rom: ROM, role: 'bath' }], calibrations: [made.calibration] };
  const checked = checkConfig({ rig });
  if (!checked.ok) throw new Error(checked.faults.join('\n'));
  return [
    ...probeFacts(checked.config, AT_MS + days * DAY_MS),
    {
      ...{ rom: CORE, role: 'core', calibratedAtMs: null, correctionK: null, errorK: 0.5 },
      flags: [
        { id: 'none', text: 'This probe has no calibration: up to 0.5 K either way by its data sheet.' },
      ],
    },
  ];
}

beforeAll(async () => {
  mkdirSync(SHOTS, { recursive: true });
  bench = await openBench();
});
afterAll(async () => {
  HUT.probes = [];
  await bench?.close();
});

describe('The probes of a rig', () => {
  test('stand under How it knows: date, correction, what is left, and what each lacks', async () => {
    HUT.probes = factsAfter(10);
    await bench.visit('holding', async ({ page }) => {
      // Nothing is wrong with them, so the watch page is silent about it.
      expect(await by(page, 'probe-doubt').count()).toBe(0);
      await by(page, 'go-how').click();
      const bath = by(page, 'probe-bath');
      await bath.waitFor();
      expect(await bath.textContent()).toMatch(/Calibrated 25 Nov 2026.*Corrected by \+0\.30 °C/);
      expect(await bath.textContent()).toMatch(/error of 0\.3\d °C either way/);
      expect(await by(page, 'probe-core').textContent()).toMatch(/Not calibrated.*0\.50 °C either way/);
      await page.screenshot({ path: `${SHOTS}/probes.png` });
    });
  });

  test('say on the watch page at once that a calibration is older than a year', async () => {
    HUT.probes = factsAfter(400);
    await bench.visit('holding', async ({ page }) => {
      const doubt = by(page, 'probe-doubt');
      await doubt.waitFor();
      expect(await doubt.textContent()).toMatch(/Calibrated on 2026-11-25, 400 days ago.*Calibrate again/);
      await page.screenshot({ path: `${SHOTS}/probe-old.png` });
      await by(page, 'go-how').click();
      expect(await by(page, 'probe-bath').textContent()).toMatch(/error of 0\.50 °C either way/);
    });
  });
});

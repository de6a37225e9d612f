import { describe, expect, it } from 'vitest';
import { calibrationFrom } from '../../controller/rig/calibrate/fit.ts';
import { probeFacts, withProbeError } from '../../controller/rig/calibrate/reckon.ts';
import { settingsFrom } from '../../controller/tick/settings.ts';
import { statusOf } from '../../controller/tick/status.ts';
import { BATH_PROBE_ROMS } from '../../hardware/emulator/index.ts';
import { type ConfigInput, checkConfig } from '../../shared/wire/config.ts';
import { romText } from '../../shared/wire/rom.ts';
import { benchCook, say } from '../control/cook.ts';
import { AT_MS, DAY_MS, icePoint, input, ROM, referencePoint } from '../standards/calibrate-points.ts';

const CORE = romText(BATH_PROBE_ROMS.core);

/** The hut's configuration with a bath probe, as `bathkeeper rig` writes it. */
function configOf(rig: ConfigInput['rig'], bath: ConfigInput['bath'] = {}) {
  const checked = checkConfig({ rig, bath });
  if (!checked.ok) throw new Error(checked.faults.join('\n'));
  return checked.config;
}
const roles = [{ rom: ROM, role: 'bath' as const }];

function calibration(...points: Parameters<typeof input>) {
  const made = calibrationFrom(input(...points));
  if (!made.ok) throw new Error(made.faults.map(({ text }) => text).join('\n'));
  return made.calibration;
}
const good = calibration(icePoint(-0.2), referencePoint(65, 64.7));

describe('what a calibration leaves', () => {
  it('is what the tick reckons with on a real rig; without one, or too old, the data sheet holds', () => {
    const calibrated = configOf({ probes: roles, calibrations: [good] });
    const error = (config: typeof calibrated, nowMs: number | null) =>
      settingsFrom(withProbeError(config, 'usb', nowMs), 'test').around.probeErrorC;
    expect(error(calibrated, AT_MS)).toBe(good.uncertaintyC);
    expect(good.uncertaintyC).toBeLessThan(0.5);
    expect(error(configOf({ probes: roles }), AT_MS)).toBe(0.5);
    expect(error(calibrated, AT_MS + 400 * DAY_MS)).toBe(0.5);
    // A clock that is not set cannot tell a young calibration from an old one.
    expect(error(calibrated, null)).toBe(0.5);
  });

  it('is widened by what a person states, never narrowed', () => {
    const stated = (probeErrorC: number) =>
      withProbeError(configOf({ probes: roles, calibrations: [good] }, { probeErrorC }), 'usb', AT_MS);
    expect(stated(1.2).bath.probeErrorC).toBe(1.2);
    expect(stated(0.05).bath.probeErrorC).toBe(good.uncertaintyC);
  });

  it('counts for the probe in the food too: the worse of the two', () => {
    const probes = [...roles, { rom: CORE, role: 'core' as const }];
    const both = configOf({ probes, calibrations: [good] });
    expect(withProbeError(both, 'usb', AT_MS).bath.probeErrorC).toBe(0.5);
  });

  it('stands in the record of the cook, so that a replay reckons with the same', () => {
    const settings = settingsFrom(
      withProbeError(configOf({ probes: roles, calibrations: [good] }), 'usb', AT_MS),
      'test',
    );
    const again = checkConfig(JSON.parse(settings.configJson));
    if (!again.ok) throw new Error(again.faults.join('\n'));
    expect(settingsFrom(again.config, 'test').around).toEqual(settings.around);
  });

  it('narrows the envelope of the food through the tick: a probe without calibration is judged more widely', () => {
    const cook = (calibrations: (typeof good)[]) => {
      const config = withProbeError(configOf({ probes: roles, calibrations }), 'usb', AT_MS);
      const bench = benchCook({ config, startC: 62 });
      bench.say(say.start(62));
      bench.run(5);
      bench.say(say.bagIn('lamb-1', 'lamb-shoulder', 40, 1));
      bench.run(5400);
      const bag = statusOf(bench.state()).bags[0];
      if (!bag) throw new Error('no bag');
      return { wide: bag.hotC - bag.coldC, log10: bag.lethality[0]?.log10 ?? Number.NaN };
    };
    const narrow = cook([good]);
    const wide = cook([]);
    // Both ends move by the difference of the two errors, for the water is as hot as the probe says, plus or minus that.
    expect(wide.wide - narrow.wide).toBeGreaterThan(1.5 * (0.5 - good.uncertaintyC));
    expect(wide.wide - narrow.wide).toBeLessThan(2.5 * (0.5 - good.uncertaintyC));
    // The worst case was heated less, so it has less to its credit.
    expect(wide.log10).toBeLessThan(narrow.log10);
  });
});

describe('what people are told of a probe', () => {
  it('is its date, its correction, what is left, and what is wrong with it', () => {
    const far = calibration(icePoint(-1.3), referencePoint(65, 63.8));
    const facts = (one: typeof good | null, nowMs: number | null) =>
      probeFacts(configOf({ probes: roles, calibrations: one ? [one] : [] }), nowMs)[0];
    expect(facts(good, AT_MS)).toMatchObject({ rom: ROM, role: 'bath', flags: [] });
    expect(facts(good, AT_MS)?.calibratedAtMs).toBe(Date.parse(good.calibratedAt));
    expect(facts(good, AT_MS)?.correctionK).toBeCloseTo(0.3, 1);
    expect(facts(good, AT_MS)?.errorK).toBe(good.uncertaintyC);
    expect(facts(good, AT_MS + 400 * DAY_MS)?.flags.map(({ id }) => id)).toEqual(['old']);
    expect(facts(far, AT_MS)?.flags.map(({ id }) => id)).toContain('far-off');
    expect(facts(null, AT_MS)).toMatchObject({ calibratedAtMs: null, correctionK: null, errorK: 0.5 });
  });
});

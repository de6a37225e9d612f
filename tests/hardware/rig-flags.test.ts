import { describe, expect, it } from 'vitest';
import { readRigFlags } from '../../controller/cli/rig/flags.ts';
import { joinPoints } from '../../controller/cli/rig/points.ts';
import { calibrationFrom } from '../../controller/rig/calibrate/fit.ts';
import type { CalibrationPoint } from '../../shared/wire/calibration.ts';
import { checkConfig } from '../../shared/wire/config.ts';
import {
  AT_MS,
  boilingPoint,
  DAY_MS,
  icePoint,
  input,
  referencePoint,
} from '../standards/calibrate-points.ts';
import { ROM } from './rig-bench.ts';

const pointOf = (...argv: string[]) => {
  const read = readRigFlags(['--calibrate', ROM.bath, ...argv]);
  return read.ok ? read.flags.point : read.faults;
};

describe('flags of a calibration point', () => {
  it('name ice, a reference with its error and its name, or boiling water and where it boils', () => {
    expect(pointOf('--ice')).toEqual({ kind: 'ice' });
    expect(pointOf('--reference', '65', '--limit', '0.3', '--instrument', 'glass')).toEqual({
      ...{ kind: 'reference', referenceC: 65, limitC: 0.3, instrument: 'glass' },
    });
    expect(pointOf('--boiling', '--altitude', '1400')).toEqual({
      ...{ kind: 'boiling', place: { altitudeM: 1400 } },
    });
    expect(pointOf('--boiling', '--pressure', '85.6')).toEqual({
      ...{ kind: 'boiling', place: { pressureKPa: 85.6 } },
    });
  });

  it('are refused with what was wrong and what was expected', () => {
    expect(pointOf()).toEqual([expect.stringMatching(/--ice, --reference C or --boiling/)]);
    expect(pointOf('--ice', '--boiling')).toEqual([expect.stringMatching(/one point at a time/)]);
    expect(pointOf('--boiling')).toEqual([expect.stringMatching(/--altitude M or --pressure KPA/)]);
    expect(pointOf('--boiling', '--altitude', '9000')).toEqual([
      expect.stringMatching(/-430 to 5500 metres/),
    ]);
    expect(pointOf('--boiling', '--pressure', '')).toEqual([expect.stringMatching(/50 to 110 kPa/)]);
    expect(pointOf('--reference', 'hot')).toEqual([
      ...['--reference "hot": expected degrees C.', '--reference: name the thermometer with --instrument.'],
    ]);
    const listed = readRigFlags(['--list', '--json']);
    expect(listed.ok).toBe(true);
  });
});

describe('points of one calibration', () => {
  const before = (...points: CalibrationPoint[]) => {
    const made = calibrationFrom(input(...points));
    if (!made.ok) throw new Error(made.faults.map(({ text }) => text).join('\n'));
    return made.calibration;
  };
  const kinds = (points: readonly CalibrationPoint[]) =>
    points.map((point) => (point.kind === 'reference' ? point.referenceC : point.kind));

  it('add up within a month, and count from the oldest', () => {
    const ice = before(icePoint(-0.2));
    const joined = joinPoints(ice, referencePoint(65, 64.7), AT_MS + 20 * DAY_MS);
    expect(kinds(joined.points)).toEqual(['ice', 65]);
    expect(joined.calibratedAt).toBe(ice.calibratedAt);
    expect(joinPoints(null, icePoint(0), AT_MS).calibratedAt).toBe(new Date(AT_MS).toISOString());
  });

  it('of references keep those of other temperatures, the newest three', () => {
    const two = before(icePoint(-0.2), referencePoint(62, 61.7), referencePoint(66, 65.7));
    expect(kinds(joinPoints(two, referencePoint(66.5, 66.2), AT_MS).points)).toEqual(['ice', 62, 66.5]);
    const three = before(referencePoint(61, 60.7), referencePoint(65, 64.7), referencePoint(69, 68.7));
    expect(kinds(joinPoints(three, referencePoint(73, 72.7), AT_MS).points)).toEqual([65, 69, 73]);
  });

  it('older than a month are left aside and told, so that a new point never makes an old calibration young', () => {
    const old = before(icePoint(-0.2), referencePoint(65, 64.7));
    const joined = joinPoints(old, icePoint(-0.2), AT_MS + 31 * DAY_MS);
    expect(kinds(joined.points)).toEqual(['ice']);
    expect(joined.note).toMatch(/more than 30 days/);
  });

  it('in boiling water change no date, however old the others are', () => {
    const old = before(icePoint(-0.2), referencePoint(65, 64.7));
    const joined = joinPoints(old, boilingPoint(95.2, { altitudeM: 1400 }), AT_MS + 400 * DAY_MS);
    expect(kinds(joined.points)).toEqual(['ice', 65, 'boiling']);
    expect(joined.calibratedAt).toBe(old.calibratedAt);
  });
});

describe('the part of the configuration about the rig', () => {
  const faults = (rig: unknown): string[] => {
    const checked = checkConfig({ rig });
    return checked.ok ? [] : checked.faults;
  };
  const ice = calibrationFrom(input(icePoint(-0.2)));

  it('has whole defaults: no port, no probes, limits of the board as tight as the design says', () => {
    const checked = checkConfig({});
    expect(checked.ok && checked.config.rig).toEqual({
      ...{ port: null, probes: [], analogue: [], attended: false, calibrations: [] },
      ...{ maxHeatS: 14_400, silenceMs: 3500, commissioningFile: 'commissioning.json' },
    });
  });

  it('names every fault at once, each with its place', () => {
    const found = faults({
      ...{ port: '', maxHeatS: 5, silenceMs: 9000, attnded: true },
      probes: [{ rom: '28FF', role: 'bath' }],
    }).join('\n');
    for (const place of ['rig.port', 'rig.maxHeatS', 'rig.silenceMs', 'rig.probes.0.rom', 'attnded'])
      expect(found).toContain(place);
  });

  it('refuses two probes in one role, one probe in two roles, and two calibrations of one probe', () => {
    const bath = { rom: ROM.bath, role: 'bath' };
    expect(faults({ probes: [bath, { rom: ROM.second, role: 'bath' }] })[0]).toMatch(/2 probes are bath/);
    expect(faults({ probes: [bath, { rom: ROM.bath, role: 'core' }] })[0]).toMatch(/stands here twice/);
    if (!ice.ok) throw new Error('no calibration');
    expect(faults({ calibrations: [ice.calibration, ice.calibration] })[0]).toMatch(/stands here twice/);
    expect(faults({ probes: [bath], calibrations: [ice.calibration] })).toEqual([]);
  });

  it('refuses a ROM code with a mistyped digit, by its own check byte', () => {
    const mistyped = `${ROM.bath.slice(0, 4)}7${ROM.bath.slice(5)}`;
    expect(faults({ probes: [{ rom: mistyped, role: 'bath' }] })[0]).toMatch(/check byte/);
  });
});

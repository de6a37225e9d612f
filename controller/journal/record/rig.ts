import { limitProfile } from '../../../shared/hazard/profiles.ts';
import type { Config } from '../../../shared/wire/config.ts';
import type { CookDetail } from '../reader.ts';
import { type Cell, degrees, facts, table, utc } from './html.ts';

/** The rig as configured when the cook began, its probes and calibrations, the profile of limits, and the runs. */
export function rigSection(config: Config | null, { runs }: CookDetail): string {
  const runRows = runs.map(({ bootId, codeVersion, speed, afterSequence }): Cell[] => [
    afterSequence + 1,
    codeVersion,
    speed === 1 ? 'real time' : `simulated, ${speed} times faster`,
    bootId,
  ]);
  const started = table('Starts of the controller (noted)', ['First tick', 'Code', 'Time', 'Boot'], runRows);
  if (!config) return `<p>The configuration on record is not one that this version reads.</p>\n${started}`;
  const { bath, control, limits, rig } = config;
  const about = facts([
    ['Local profile of limits', 'stated', limitProfile(config.profile).name],
    ['Water', 'stated', `${bath.litres} L, ${bath.circulation}`],
    ['Element', 'stated', `${bath.elementWatts} W, switched by ${control.relay}`],
    ['Bath probe, largest error', 'stated', `${bath.probeErrorC ?? 0.5} °C either way`],
    ['No heat at or above', 'stated', degrees(limits.hardMaxC)],
    ['Firmware of the board', 'noted', null],
  ]);
  const probes = rig.probes.map(({ rom, role }): Cell[] => [role, rom]);
  const calibrations = rig.calibrations.map((one): Cell[] => [
    one.rom,
    utc(Date.parse(one.calibratedAt)),
    one.by,
    `${one.method}, ${one.points.length} points (${one.points.map(({ kind }) => kind).join(', ')})`,
    `${one.correction.offsetC} °C`,
    `${one.uncertaintyC} °C (${one.basis})`,
  ]);
  const heads = ['Probe', 'When', 'By', 'How', 'Offset', 'Uncertainty'];
  return `${about}${table('Probes by ROM (stated)', ['Role', 'ROM'], probes)}${table('Calibrations (measured)', heads, calibrations)}${started}`;
}

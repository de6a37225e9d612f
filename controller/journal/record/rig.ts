import { limitProfile } from '../../../shared/hazard/profiles.ts';
import { standards } from '../../../shared/hazard/standards/index.ts';
import type { Config } from '../../../shared/wire/config.ts';
import type { CookDetail } from '../reader.ts';
import { type Cell, degrees, facts, table, utc } from './html.ts';

/** The rig as configured when the cook began, its probes and calibrations, the profile of limits, and the runs. */
export function rigSection(config: Config | null, { cook, runs, bags }: CookDetail): string {
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
    ['Firmware of the board', 'noted', cook.firmware ?? null],
  ]);
  const models = table(
    'Models and standards in force (noted)',
    ['What', 'Which'],
    [
      ['Code of the models', [...new Set(runs.map(({ codeVersion }) => codeVersion))].join(', ')],
      ...[...new Set(bags.map(({ standardId }) => standardId))].map((id): Cell[] => [
        'Lethality standard',
        edition(id),
      ]),
      ['Limits', limitProfile(config.profile).source],
      ['Growth', 'C. perfringens, the faster of two published models; shared/hazard/README.md names them'],
    ],
  );
  const analogue = rig.analogue.map(({ name, role, kind }): Cell[] => [role ?? 'none', `${name} (${kind})`]);
  const probes = [...rig.probes.map(({ rom, role }): Cell[] => [role, rom]), ...analogue];
  const calibrations = rig.calibrations.map((one): Cell[] => [
    one.rom,
    utc(Date.parse(one.calibratedAt)),
    one.by,
    `${one.method}, ${one.points.length} points (${one.points.map(({ kind }) => kind).join(', ')})`,
    `${one.correction.offsetC} °C`,
    `${one.uncertaintyC} °C (${one.basis})`,
  ]);
  const heads = ['Probe', 'When', 'By', 'How', 'Offset', 'Uncertainty'];
  return `${about}${models}${table('Probes by ROM or analogue pin (stated)', ['Role', 'Probe'], probes)}${table('Calibrations (measured)', heads, calibrations)}${started}`;
}

/** A standard with its edition; its id where it is not one of this version's. */
function edition(id: string | null): string | null {
  const found = standards.find((one) => one.id === id);
  return found ? `${found.name}, ${found.edition}` : id;
}

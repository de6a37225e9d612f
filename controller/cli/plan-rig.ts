import { join } from 'node:path';
import { type DescribedRig, type Rig, USUAL_RIG } from '../../shared/plan/rig.ts';
import {
  type ConfiguredBox,
  changedRig,
  type RigChange,
  rigOfView,
  USUAL_DEPTH_MM,
} from '../../shared/plan/rig-view.ts';
import { loadRig, RIG_FILE } from '../rig-file.ts';
import { rigFigures } from '../tick/control/identify/figures.ts';
import { isRecordOf, recalledRig } from '../tick/control/identify/record.ts';
import type { FlagReader } from './flags.ts';
import type { PlanValues } from './plan-flags.ts';

/** What the configuration says of the rig. */
export interface ConfiguredRig {
  readonly box: ConfiguredBox;
  /** False where there is no configuration: then nothing was said. */
  readonly said: boolean;
  readonly dataDir: string;
}

/** Where nobody says how warm the room is, C. */
const ROOM_C = 20;
const DESCRIBING = ['insulation', 'insulation-thickness', 'watts', 'circulation'] as const;

/** The rig of flags and configuration; null where nothing was said of it. Faults go to the reader. */
export function readRig(
  reader: FlagReader,
  values: PlanValues,
  configured: ConfiguredRig,
  bathC: number,
): Rig | null {
  const change = readChange(reader, values);
  if (values.rig === undefined) return describedRig(reader, values, configured, change);
  const kind = reader.choice('rig', values.rig, ['usb', 'emulated', 'simulated']);
  for (const name of DESCRIBING) {
    if (values[name] !== undefined) {
      reader.faults.push(`--${name} describes a box; with --rig it is known from having run. Leave one out.`);
    }
  }
  if (kind === undefined) return null;
  const found = identifiedRig(
    join(values.data ?? configured.dataDir, kind),
    configured.box,
    bathC,
    change.roomC,
  );
  if (typeof found !== 'string') return changedRig(found, change);
  reader.faults.push(found);
  return null;
}

/** The rig on record in a data folder, or what is wrong with it. */
function identifiedRig(
  folder: string,
  box: ConfiguredBox,
  bathC: number,
  roomC: number = ROOM_C,
): Rig | string {
  const path = join(folder, RIG_FILE);
  const record = loadRig(path);
  const described = { litres: box.litres, elementWatts: box.elementWatts };
  if (record === null) {
    return `--rig: nothing was learned of a rig yet (${path}); heat the bath once with bathkeeper run, or describe it with --litres and --watts.`;
  }
  if (!isRecordOf(record, described)) {
    const { litres, elementWatts } = record.described;
    return `--rig: what is known is of a rig of ${litres} L and ${elementWatts} W, the configuration says ${box.litres} L and ${box.elementWatts} W; use the same configuration.`;
  }
  return rigOfView(rigFigures(recalledRig(described, record), described, bathC, roomC), box);
}

/** What any rig may be told besides. */
function readChange(reader: FlagReader, values: PlanValues): RigChange {
  const altitudeMm = reader.quantity('altitude', values.altitude, 'length');
  return {
    waterLitres: reader.number('litres', values.litres, 3, 500),
    lidOn: flip(reader.choice('lid', values.lid, ['on', 'off'])),
    fillC: reader.quantity('fill', values.fill, 'temperature'),
    roomC: reader.quantity('room', values.room, 'temperature'),
    altitudeM: altitudeMm === undefined ? undefined : altitudeMm / 1000,
    filmId: values.film,
    linerId: values.liner,
  };
}

function describedRig(
  reader: FlagReader,
  values: PlanValues,
  { box, said: configured }: ConfiguredRig,
  change: RigChange,
): DescribedRig | null {
  const litres = change.waterLitres ?? (configured ? box.litres : undefined);
  const name = 'insulation-thickness';
  const insulationMm = reader.quantity(name, values[name], 'length', 0, 500);
  const said: { -readonly [K in keyof DescribedRig]?: DescribedRig[K] | undefined } = {
    ...change,
    waterLitres: litres,
    setpointMaxC: configured ? box.setpointMaxC : undefined,
    openingM2: litres === undefined ? undefined : litres / USUAL_DEPTH_MM,
    elementW: reader.number('watts', values.watts, 50, 20_000) ?? (configured ? box.elementWatts : undefined),
    insulation: reader.choice('insulation', values.insulation, ['eps', 'xps', 'pu', 'none']),
    insulationMm,
    lidMm: insulationMm,
    circulation: reader.choice('circulation', values.circulation, ['pumped', 'still']),
  };
  const given = Object.entries(said).filter(([, value]) => value !== undefined);
  return given.length === 0 ? null : { ...USUAL_RIG, ...Object.fromEntries(given) };
}

const flip = (lid: 'on' | 'off' | undefined) => (lid === undefined ? undefined : lid === 'on');

import { parseArgs } from 'node:util';
import { pinFault, probeNameFault } from '../../../shared/wire/analogue.ts';
import { PROBE_ROLES, type ProbeRole } from '../../../shared/wire/probe-roles.ts';
import { romFault } from '../../../shared/wire/rom.ts';
import { type Answers, cutOutAnswer } from './ask.ts';
import { type PointFlags, readPointFlags } from './point-flags.ts';

export const RIG_HELP = `bathkeeper rig: the board on the bench: look, set up, check, calibrate.

  --list                list ports, and the board's firmware, probes and limits (also without any flag)
  --role ROM=ROLE       give a probe its role: bath, second, core, ambient (again for each)
  --commission          check the rig step by step, and keep a dated record
  --calibrate PROBE     take one point now, of a ROM or an analogue pin such as A0; points of a month add up:
      --ice                                        in melting ice
      --reference C --limit C --instrument NAME    beside a thermometer at 60 to 75, good to --limit; up to three
      --boiling --altitude M | --pressure KPA      in boiling water: a check only, it corrects nothing
  --clear CAUSE         clear the cut latched on the board, once you have looked; CAUSE as it is shown

  --port PATH           serial port (default rig.port of the configuration, else the only one)
  --emulated            on an emulated board, to try it without hardware
  --by NAME             who does it, for the record
  --ready               do not wait for Enter between steps
  --heard yes|no        answer: was the sounder heard
  --went-off yes|no     answer: was the heater off after the plug was pulled
  --cut-out C|not-tried answer: at what temperature the independent cut-out opened
  --called yes|no       answer: was a person called when computer and board lost their mains
  --config FILE         configuration (default bathkeeper.json, or BATHKEEPER_CONFIG)
  --json                one JSON document on stdout
  --help

Mains work belongs to a person licensed for it where the law says so. Commission with the box filled and covered.
`;

const OPTIONS = {
  role: { type: 'string', multiple: true },
  commission: { type: 'boolean' },
  calibrate: { type: 'string' },
  list: { type: 'boolean' },
  ice: { type: 'boolean' },
  boiling: { type: 'boolean' },
  altitude: { type: 'string' },
  pressure: { type: 'string' },
  reference: { type: 'string' },
  limit: { type: 'string' },
  instrument: { type: 'string' },
  clear: { type: 'string' },
  port: { type: 'string' },
  emulated: { type: 'boolean' },
  by: { type: 'string' },
  ready: { type: 'boolean' },
  heard: { type: 'string' },
  'went-off': { type: 'string' },
  'cut-out': { type: 'string' },
  called: { type: 'string' },
  config: { type: 'string' },
  json: { type: 'boolean' },
  help: { type: 'boolean' },
} as const;

type Values = ReturnType<typeof parseArgs<{ options: typeof OPTIONS }>>['values'];

/** Flags, checked. */
export interface RigFlags {
  readonly values: Values;
  readonly roles: readonly { readonly rom: string; readonly role: ProbeRole }[];
  readonly answers: Answers;
  /** Where a calibration point is taken; null where none is. */
  readonly point: PointFlags | null;
  readonly by: string;
}

const ANALOGUE_ROLE =
  'an analogue probe has its role in rig.analogue of the configuration, beside the figures of its circuit';

/** The answer of `--cut-out`: undefined where it was not given, null where it was not tried. */
function readCutOut(text: string | undefined, faults: string[]): number | null | undefined {
  if (text === undefined) return undefined;
  if (text.trim() === 'not-tried') return null;
  const read = cutOutAnswer(text);
  if (typeof read === 'number') return read;
  faults.push(`--cut-out ${read}.`);
  return undefined;
}

/** The flags, or everything that is wrong with them. */
export function readRigFlags(
  argv: readonly string[],
): { ok: true; flags: RigFlags } | { ok: false; faults: string[] } {
  let values: Values;
  try {
    values = parseArgs({ args: [...argv], options: OPTIONS }).values;
  } catch (error) {
    return { ok: false, faults: [(error as Error).message] };
  }
  const faults: string[] = [];
  const roles = (values.role ?? []).flatMap((text) => {
    const [rom = '', name = ''] = text.split('=');
    const role = PROBE_ROLES.find((one) => one === name);
    const fault = pinFault(rom) === null ? ANALOGUE_ROLE : romFault(rom);
    if (fault !== null) faults.push(`--role ${text}: ${fault}.`);
    if (role === undefined) faults.push(`--role ${text}: expected ROM=${PROBE_ROLES.join('|')}.`);
    return role === undefined ? [] : [{ rom, role }];
  });
  const yes = (name: 'heard' | 'went-off' | 'called'): boolean | null => {
    const text = values[name];
    if (text === undefined) return null;
    if (text !== 'yes' && text !== 'no') faults.push(`--${name} "${text}": expected yes or no.`);
    return text === 'yes';
  };
  const cutOutC = readCutOut(values['cut-out'], faults);
  const said = { heard: yes('heard'), 'went-off': yes('went-off'), called: yes('called') };
  const answers = { ready: values.ready ?? false, ...said, cutOutC };
  const point = readPointFlags(values, faults);
  if (values.calibrate !== undefined && point === null && faults.length === 0) {
    faults.push('--calibrate: say which point with --ice, --reference C or --boiling; see --help.');
  }
  if (values.calibrate !== undefined) {
    const fault = probeNameFault(values.calibrate);
    if (fault !== null) faults.push(`--calibrate: ${fault}.`);
  }
  if (faults.length > 0) return { ok: false, faults };
  return { ok: true, flags: { values, roles, answers, point, by: values.by ?? 'not named' } };
}

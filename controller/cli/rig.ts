import { TRIP_CAUSES } from '../../shared/wire/board-codes.ts';
import type { Config } from '../../shared/wire/config.ts';
import { BathkeeperError } from '../../shared/wire/errors.ts';
import { judgeCalibration } from '../rig/calibrate/judge.ts';
import { partOf } from '../rig/calibrate/part.ts';
import { faultWords } from '../rig/usb/board-words.ts';
import type { Wanted } from '../rig/usb/view.ts';
import { wantedFrom } from '../rig/usb/wanted.ts';
import { loadConfig } from './config-file.ts';
import type { CliIo } from './io.ts';
import { personAt } from './rig/ask.ts';
import { emulatedBench, type RigBench, usbBench, within } from './rig/bench.ts';
import { calibrateProbe } from './rig/calibrate.ts';
import { clearCause } from './rig/clear.ts';
import { RIG_HELP, type RigFlags, readRigFlags } from './rig/flags.ts';
import { listPorts } from './rig/ports.ts';
import { keepProofs } from './rig/proofs.ts';
import { addCommissioning, type Commissioning, checkRecord } from './rig/record.ts';
import { reportOf, reportText } from './rig/show.ts';
import { STEPS } from './rig/steps.ts';
import { changePart } from './rig/write-config.ts';

const USUAL_CONFIG = 'bathkeeper.json';
/** Until the board has spoken and a first conversion has come in. */
const LOOK_MS = 15_000;
const AWAKE_MS = 2000;
/** What waiting does not mend. */
const PORT_FAULTS: ReadonlySet<string> = new Set(['rig-port-missing', 'rig-port-denied', 'rig-port-busy']);

/** What a person must set first. */
const UNSET: ReadonlySet<string> = new Set(['rig-not-set', 'rig-analogue-bath']);

interface Job {
  readonly flags: RigFlags;
  readonly config: Config;
  readonly configPath: string;
  readonly io: CliIo;
}

/** Looks at the board, sets it up, checks it, calibrates its probes. */
export async function rigVerb(argv: readonly string[], io: CliIo): Promise<number> {
  const read = readRigFlags(argv);
  if (!read.ok) {
    io.err(`${read.faults.join('\n')}\nSee: bathkeeper rig --help\n`);
    return 2;
  }
  const { values } = read.flags;
  if (values.help) {
    io.out(RIG_HELP);
    return 0;
  }
  const loaded = loadConfig(values.config, process.env.BATHKEEPER_CONFIG);
  if (!loaded.ok) {
    io.err(`${loaded.message}\n`);
    return 2;
  }
  const configPath = values.config ?? process.env.BATHKEEPER_CONFIG ?? USUAL_CONFIG;
  const job: Job = { flags: read.flags, config: withRoles(loaded.config, read.flags), configPath, io };
  try {
    return await work(job);
  } catch (error) {
    io.err(`${(error as Error).message}\n`);
    return error instanceof BathkeeperError && UNSET.has(error.code) ? 2 : 1;
  }
}

function work(job: Job): Promise<number> {
  const { values, roles } = job.flags;
  if (roles.length > 0 && !values.emulated) keepRoles(job);
  if (values.commission) return withBench(job, true, commission);
  if (values.clear !== undefined) return withBench(job, true, clearCut);
  if (values.calibrate !== undefined) return withBench(job, false, calibrate);
  return withBench(job, false, show);
}

function withRoles(config: Config, { roles }: RigFlags): Config {
  const taken = new Set<string>([...roles.map((one) => one.rom), ...roles.map((one) => one.role)]);
  const kept = config.rig.probes.filter((one) => !taken.has(one.rom) && !taken.has(one.role));
  return { ...config, rig: { ...config.rig, probes: [...kept, ...roles] } };
}

function keepRoles({ config, configPath, flags, io }: Job): void {
  const port = flags.values.port ?? config.rig.port;
  const faults = changePart(configPath, 'rig', (rig) => ({ ...rig, port, probes: config.rig.probes }));
  if (faults.length > 0) throw new Error(faults.join('\n'));
  io.err(`Roles written to ${configPath}.\n`);
}

async function choosePort({ config, flags }: Job): Promise<string | null> {
  const named = flags.values.port ?? config.rig.port;
  if (named !== null) return named;
  const ports = await listPorts();
  const usb = ports.filter(({ path }) => /ACM|USB|usb|COM/.test(path));
  return usb.length === 1 ? usb[0]!.path : null;
}

/** Opens the board, does the work, and lets it go whatever happens. */
async function withBench(
  job: Job,
  heats: boolean,
  doing: (job: Job, bench: RigBench | null, wanted: Wanted | null) => Promise<number>,
): Promise<number> {
  const { config, flags, io } = job;
  let bench: RigBench | null = null;
  let wanted: Wanted | null = null;
  if (flags.values.emulated) {
    bench = await emulatedBench((rom) => {
      wanted = wantedFrom(config, rom);
      return heats ? wanted : null;
    }, config.rig.analogue);
  } else {
    const path = await choosePort(job);
    const bath = config.rig.probes.find((probe) => probe.role === 'bath');
    wanted = bath ? wantedFrom(config, bath.rom) : null;
    if (heats && wanted === null) {
      const analogue = config.rig.analogue.find(({ role }) => role === 'bath');
      if (analogue) throw new BathkeeperError('rig-analogue-bath', `It is ${analogue.name} in rig.analogue.`);
      throw new BathkeeperError('rig-not-set', 'Give a probe its role: --role ROM=bath.');
    }
    if (path === null && (heats || flags.values.calibrate)) {
      throw new BathkeeperError('rig-not-set', 'Name the port: --port PATH.');
    }
    bench =
      path === null
        ? null
        : usbBench(path, heats ? wanted : null, config.rig.analogue, (line) => io.err(`${line}\n`));
  }
  try {
    return await doing(job, bench, wanted);
  } finally {
    await bench?.port.close();
  }
}

async function show(
  { config, flags, io }: Job,
  bench: RigBench | null,
  wanted: Wanted | null,
): Promise<number> {
  const ports = flags.values.emulated ? [] : await listPorts();
  if (bench !== null)
    await within(bench, LOOK_MS, ({ phase, probes, status, fault }) => {
      if (phase === 'refused' || (fault !== null && PORT_FAULTS.has(fault.code))) return true;
      // A board that was reset by opening its port believes its level switch a second later.
      const awake = status === null || status.uptimeMs > AWAKE_MS;
      const pins = new Set(config.rig.analogue.map(({ name }) => name));
      const onBus = probes.filter(({ rom }) => !pins.has(rom)).length;
      const all = probes.length - onBus === pins.size && onBus >= (status?.probeCount ?? 0);
      return awake && all && probes.length > 0;
    });
  const report = reportOf(ports, bench?.name ?? null, bench?.view() ?? null, config.rig, wanted);
  io.out(flags.values.json ? `${JSON.stringify(report)}\n` : reportText(report));
  return report.board !== null && report.board.fault !== null ? 1 : 0;
}

async function ready(bench: RigBench): Promise<void> {
  const up = await within(bench, LOOK_MS, ({ phase, fault }) => {
    return phase === 'ready' || phase === 'refused' || (fault !== null && PORT_FAULTS.has(fault.code));
  });
  const fault = bench.view()?.fault;
  if (bench.view()?.phase === 'ready') return;
  throw fault
    ? new BathkeeperError(fault.code, fault.detail)
    : new BathkeeperError('rig-mute', up ? '' : 'No word.');
}

async function commission(
  { config, configPath, flags, io }: Job,
  bench: RigBench | null,
  wanted: Wanted | null,
): Promise<number> {
  if (bench === null || wanted === null) return 1;
  if (!bench.emulated) checkRecord(config.rig.commissioningFile);
  await ready(bench);
  const person = personAt(flags.answers, io, !flags.values.emulated && process.stdin.isTTY === true);
  const steps: Commissioning['steps'] = [];
  for (const step of STEPS) {
    const done = await step({ bench, person, bathRom: wanted.bathRom });
    steps.push(done);
    io.err(`${done.step}: ${done.outcome}. ${done.seen}\n`);
  }
  const firmware = bench.view()?.status?.firmware ?? 'unknown';
  const record = { at: new Date().toISOString(), by: flags.by, rig: bench.name, firmware, steps };
  // What was tried on an emulated board says nothing of a real one, and does not stand in its record.
  if (!bench.emulated) {
    addCommissioning(config.rig.commissioningFile, record);
    for (const line of keepProofs(configPath, record)) io.err(`${line}\n`);
  }
  const failed = steps.filter(({ outcome }) => outcome === 'failed');
  if (flags.values.json) io.out(`${JSON.stringify(record)}\n`);
  else {
    const count = (outcome: string) => steps.filter((one) => one.outcome === outcome).length;
    io.out(`${count('passed')} passed, ${failed.length} failed, ${count('not-done')} not done.\n`);
    if (failed.length > 0) io.out('Do not cook on this rig yet.\n');
  }
  return failed.length > 0 ? 1 : 0;
}

async function clearCut({ flags, io }: Job, bench: RigBench | null): Promise<number> {
  if (bench === null) return 1;
  await ready(bench);
  const status = bench.view()?.status;
  const cause = (TRIP_CAUSES as readonly string[]).indexOf(flags.values.clear ?? '');
  if (!status || status.latchedCause === 0) {
    io.out('Nothing is latched.\n');
    return 0;
  }
  if (cause !== status.latchedCause) {
    io.err(
      `Latched is "${TRIP_CAUSES[status.latchedCause] ?? status.latchedCause}", not "${flags.values.clear}": go and look at that.\n`,
    );
    return 2;
  }
  const why = await clearCause(bench, cause);
  if (why === null) io.out('Cleared.\n');
  else io.err(`Not cleared: ${why}.\n`);
  return why === null ? 0 : 1;
}

async function calibrate({ config, configPath, flags, io }: Job, bench: RigBench | null): Promise<number> {
  if (bench === null) return 1;
  const rom = flags.values.calibrate ?? '';
  const seen = await within(bench, LOOK_MS, ({ probes }) => probes.some((probe) => probe.rom === rom));
  const fault = bench.view()?.fault;
  if (!seen)
    throw new Error(fault ? faultWords(fault) : `The probe ${rom} does not answer. See: bathkeeper rig`);
  const before = config.rig.calibrations.find((one) => one.rom === rom) ?? null;
  const { point } = flags;
  if (point === null) throw new Error('No point is named.');
  const made = await calibrateProbe(bench, rom, { ...flags, point }, before, partOf(config.rig, rom), io);
  if (!bench.emulated) {
    const others = config.rig.calibrations.filter((one) => one.rom !== rom);
    const faults = changePart(configPath, 'rig', (rig) => ({ ...rig, calibrations: [...others, made] }));
    if (faults.length > 0) throw new Error(faults.join('\n'));
  }
  if (flags.values.json) io.out(`${JSON.stringify(made)}\n`);
  else {
    const kinds = made.points.map(({ kind }) => kind).join(', ');
    const correction = `${made.correction.offsetC.toFixed(2)} K`;
    io.out(
      `${rom}: ${made.method} ${correction} by ${kinds}; left either way ${made.uncertaintyC.toFixed(2)} K.\n`,
    );
    for (const flag of judgeCalibration(made, Date.now(), partOf(config.rig, rom)).flags)
      io.out(`${flag.text}\n`);
  }
  return 0;
}

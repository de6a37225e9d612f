import { randomBytes, randomUUID } from 'node:crypto';
import { mkdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { limitProfile } from '../shared/hazard/profiles.ts';
import type { Config } from '../shared/wire/config.ts';
import { BathkeeperError } from '../shared/wire/errors.ts';
import type { Installation } from '../shared/wire/status.ts';
import { alarmRoutes } from './alarm-routes.ts';
import { restartAfter, tellOpening } from './away.ts';
import { type Calls, openCalls } from './calls.ts';
import { type Clock, type DemoClock, demoClock, systemClock, wallClockIsSet } from './clock.ts';
import { coreBagOf } from './core-bag.ts';
import { Engine } from './engine.ts';
import { JOURNAL_FILE, openJournal } from './journal/journal.ts';
import { type JournalReader, openReader, type Resume } from './journal/reader.ts';
import { demoLoop, realLoop } from './loop.ts';
import { type ServiceNotifier, serviceNotifier, systemdSender, watchdogFrom } from './notify.ts';
import { openPlans } from './plans.ts';
import { isThisForm, resumeState } from './resume.ts';
import { probeFacts, withProbeError } from './rig/calibrate/reckon.ts';
import type { Rig } from './rig/rig.ts';
import { loadRig, RIG_FILE, rigKeeper } from './rig-file.ts';
import type { Hub } from './serve/hub.ts';
import { openPairing, type Pairing } from './serve/pairing.ts';
import { pairingFile } from './serve/pairing-file.ts';
import type { PlanDesk } from './serve/plans/desk.ts';
import { startServer } from './serve/server.ts';
import { hotLimitC } from './tick/limits.ts';
import { settingsFrom } from './tick/settings.ts';
import type { TickState } from './tick/state.ts';
import { type MarkKeeper, markKeeper, markPath } from './uptime-mark.ts';
import { vouchedResume } from './vouched.ts';
import { type Emulator, openWorld } from './world.ts';

/** How to start: all that comes from flags, environment and files, already checked. */
export interface StartOptions {
  readonly config: Config;
  readonly rig: Installation['rigKind'];
  /** Demo time runs this many times faster; 1 = real time. */
  readonly speed: number;
  readonly seed: number;
  readonly codeVersion: string;
  /** Folder of the built page. */
  readonly assetsDir: string;
  readonly log: (line: string) => void;
  /** Called with each new pairing code. */
  readonly onPairingCode: (code: string) => void;
}

/** A running controller. */
export interface Controller {
  readonly port: number;
  readonly engine: Engine;
  /** Heat off, log flushed, server closed. */
  close(): Promise<void>;
}

/** Samples may wait this long for the disk: few commits wear an SD card less. In demo time the page would jump. */
const COMMIT_MS = 1500;
const DEMO_COMMIT_MS = 250;

const KEEP_RIG_MS = 60_000;

/** What has been opened so far, closed in the opposite order. */
type Closers = (() => Promise<unknown>)[];

/**
 * Wires every part together and starts the loop. What was opened is closed again where a later part cannot be had, so
 * that the log is not kept locked by a process that does nothing.
 * @throws BathkeeperError where the log, the rig or the port cannot be had
 */
export async function startController(options: StartOptions): Promise<Controller> {
  const closers: Closers = [];
  const close = async (): Promise<void> => {
    for (const closer of closers.splice(0).reverse()) await closer();
  };
  try {
    const { port, engine } = await openParts(options, closers);
    return { port, engine, close };
  } catch (error) {
    await close().catch(() => {});
    throw portBusy(error) ?? error;
  }
}

function portBusy(error: unknown): BathkeeperError | null {
  const { code, port } = error as { code?: string; port?: number };
  return code === 'EADDRINUSE'
    ? new BathkeeperError('port-busy', `It is port ${port ?? 'asked for'}.`)
    : null;
}

async function openParts(options: StartOptions, closers: Closers): Promise<{ port: number; engine: Engine }> {
  const { codeVersion, speed, seed, log } = options;
  const config = withProbeError(options.config, options.rig, wallClockIsSet() ? Date.now() : null);
  // Each kind of rig has its own log: a demo must never stand among real cooks.
  const folder = join(config.dataDir, options.rig);
  mkdirSync(folder, { recursive: true });
  const path = join(folder, JOURNAL_FILE);
  const bootId = randomUUID();
  const settings = settingsFrom(config, codeVersion, options.rig);
  const { configJson } = settings;
  const commitEveryMs = speed === 1 ? COMMIT_MS : DEMO_COMMIT_MS;
  const journal = await openJournal({ path, bootId, codeVersion, configJson, speed, commitEveryMs });
  closers.push(() => journal.close());
  tellOpening(journal, log);
  const reader = await openReader(path);
  closers.push(() => reader.close());
  const { found, changed, soundThrough } = await vouchedResume(reader, isThisForm, journal.report.doubt);
  const rigPath = join(folder, RIG_FILE);
  const resumed = await resumeState(found, settings, reader.inputs, loadRig(rigPath), soundThrough);
  for (const note of resumed.notes) log(note);
  if (resumed.keep) journal.snapshot(found.lastSequence, JSON.stringify(resumed.state));
  const { clock, run } = timeFor(options, found);
  // Demo time is none of the machine's.
  const mark = markKeeper(speed === 1 ? markPath(folder, process.env) : null);
  const restart = restartAfter({ found, resumed, changed }, journal.report, { clock, mark, log });
  const world = await openWorld({ kind: options.rig, folder, config, seed, clock, log, loadEmulator });
  closers.push(() => world.close());
  recallCore(world.rig, resumed.state);
  const notifier = notifierFor(log);
  const calls = await openCalls({ config, folder, speed, reader, found, rig: world.rig, log });
  if (calls) closers.push(() => calls.close());
  const engine = new Engine({
    clock,
    rig: world.rig,
    journal,
    state: resumed.state,
    lastSequence: found.lastSequence,
    restart,
    calls: calls?.link ?? null,
    knownCooks: (await reader.cooks()).map((cook) => cook.cookId),
    afterTick: (facts, nowMs) => notifier.tick(facts, nowMs),
  });
  closers.push(keepingRig(engine, rigPath, log));
  calls?.follow(engine);
  const pairing = await pairingFor(folder, options);
  const plans = await openPlans({ config, folder, engine, reader, calls, wallMs: () => clock.wallMs(), log });
  closers.push(() => plans.close());
  const hub = hubOf({ bootId, options, engine, reader, rig: world.rig, calls, plans });
  const server = await serve(hub, options, pairing);
  calls?.countViewers(() => server.viewers());
  closers.push(() => server.close());
  const stop = run(() => stepAndMark(engine, mark));
  closers.push(async () => {
    stop();
    await world.rig.close();
    await notifier.stopping();
  });
  notifier.ready();
  return { port: server.port, engine };
}

/** One tick, and its moment by the machine's uptime. */
function stepAndMark(engine: Engine, mark: MarkKeeper): void {
  engine.step();
  mark.keep(engine.state().sequence);
}

function recallCore(rig: Rig, state: TickState): void {
  const bagId = coreBagOf(state);
  if (bagId !== null) rig.recallCore?.(bagId);
}

/** Keeps what is known of the rig once a minute, and at the end; gives the function that ends it. */
function keepingRig(engine: Engine, path: string, log: (line: string) => void): () => Promise<void> {
  const keep = rigKeeper(path, log);
  const timer = setInterval(() => void keep(engine.state()), KEEP_RIG_MS);
  return async () => {
    clearInterval(timer);
    await keep(engine.state());
  };
}

function notifierFor(log: (line: string) => void): ServiceNotifier {
  const { env, pid } = process;
  return serviceNotifier({ send: systemdSender(env), watchdogMs: watchdogFrom(env, pid), log });
}

function serve(hub: Hub, options: StartOptions, pairing: Pairing): ReturnType<typeof startServer> {
  const { config, assetsDir, log } = options;
  const { host, port, allowedHosts } = config;
  return startServer(hub, { host, port, allowedHosts, assetsDir, pairing, now: () => Date.now(), log });
}

interface Time {
  readonly clock: Clock;
  readonly run: (step: () => void) => () => void;
}

/** Real time, or demo time that begins no earlier than the log ends. */
function timeFor(options: StartOptions, found: Resume): Time {
  if (options.speed === 1) {
    const clock = systemClock();
    return { clock, run: (step) => realLoop(clock, step) };
  }
  const clock: DemoClock = demoClock(Math.max(Date.now(), (found.lastWallMs ?? 0) + 1000));
  return { clock, run: (step) => demoLoop(clock, options.speed, step) };
}

/** The emulated board's parts and the program it runs; loaded nowhere else, and only when asked for. */
export async function loadEmulator(): Promise<{ emulator: Emulator; hex: string }> {
  const typescript = import.meta.url.endsWith('.ts');
  const module = new URL(`../hardware/emulator/index.${typescript ? 'ts' : 'js'}`, import.meta.url);
  // Compiled code lies one folder deeper than the program it is to run.
  const image = `${typescript ? '..' : '../..'}/hardware/firmware/image/two-switch.hex`;
  const hex = readFileSync(new URL(image, import.meta.url), 'utf8');
  return { emulator: (await import(module.href)) as Emulator, hex };
}

function pairingFor(folder: string, options: StartOptions): Promise<Pairing> {
  return openPairing({
    store: pairingFile(folder, Date.now),
    wallMs: Date.now,
    monotonicMs: () => performance.now(),
    randomBytes,
    onNewCode: options.onPairingCode,
    log: options.log,
  });
}

/** That a test was answered is proved by its code, not claimed. */
function noClaim(): Promise<never> {
  return Promise.reject(new BathkeeperError('bad-request', 'Send a test and enter its code instead.'));
}

interface HubParts {
  readonly bootId: string;
  readonly options: StartOptions;
  readonly engine: Engine;
  readonly reader: JournalReader;
  readonly rig: Rig;
  readonly calls: Calls | null;
  readonly plans: PlanDesk;
}

function hubOf({ bootId, options, engine, reader, rig, calls, plans }: HubParts): Hub {
  const { config } = options;
  // Asked anew for each viewer: a calibration grows old, and a clock may be set, while the controller runs.
  const probes = () => (rig.kind === 'usb' ? probeFacts(config, wallClockIsSet() ? Date.now() : null) : []);
  const installation: Omit<Installation, 'probes'> = {
    kitchen: options.config.kitchen,
    rigKind: rig.kind,
    rigText: rig.text,
    speed: options.speed,
    codeVersion: options.codeVersion,
    hotLimitC: hotLimitC(null),
    hardMaxC: engine.state().settings.hardMaxC,
    profile: limitProfile(options.config.profile).name,
  };
  return {
    bootId,
    get installation() {
      return { ...installation, probes: probes() };
    },
    latest: () => engine.latest(),
    submit: (command) => (calls && command.kind === 'answer-alarm-test' ? noClaim() : engine.submit(command)),
    onCommitted: (listener) => engine.onCommitted(listener),
    journalLagMs: () => engine.journalLagMs(),
    reader,
    plant: rig.plant,
    plans,
    handed: {
      routes: [...alarmRoutes(), ...(calls?.handed.routes ?? [])],
      htmlPolicy: calls?.handed.htmlPolicy ?? '',
    },
  };
}

import { networkInterfaces } from 'node:os';
import { fileURLToPath } from 'node:url';
import { parseArgs } from 'node:util';
import QRCode from 'qrcode';
import { startController } from '../main.ts';
import { unsetFault } from '../rig/usb/open.ts';
import { loadConfig } from './config-file.ts';
import type { CliIo } from './io.ts';
import { codeVersion } from './version.ts';

const HELP = `bathkeeper run: hold a bath and serve the page.

  --rig NAME          simulated (default), emulated (the flashed program on an emulated board), usb (the board)
  --speed N           demo time runs N times faster, 1 to 600 (simulated only; default 1)
  --seed N            seed of the simulated bath's noise (default 1)
  --port N            port of the page (default 8410, or bathkeeper.json)
  --host ADDRESS      address to listen on (default all)
  --data FOLDER       where the log is kept (default data)
  --config FILE       configuration (default bathkeeper.json, or BATHKEEPER_CONFIG)
  --help
`;

const RIGS = ['simulated', 'emulated', 'usb'] as const;

const FLAGS = {
  rig: { type: 'string' },
  speed: { type: 'string' },
  seed: { type: 'string' },
  port: { type: 'string' },
  host: { type: 'string' },
  data: { type: 'string' },
  config: { type: 'string' },
  help: { type: 'boolean' },
} as const;

/** Runs the controller until it is told to stop (SIGINT, SIGTERM). */
export async function runVerb(argv: readonly string[], io: CliIo): Promise<number> {
  const flags = readFlags(argv, io);
  if (flags === null) return 2;
  if (flags.help) {
    io.out(HELP);
    return 0;
  }
  const faults: string[] = [];
  const rig = RIGS.find((kind) => kind === (flags.rig ?? 'simulated'));
  if (rig === undefined) faults.push(`--rig "${flags.rig}": expected ${RIGS.join(', ')}.`);
  const speed = numberFlag('speed', flags.speed, 1, 1, 600, faults);
  if (speed !== 1 && rig !== 'simulated') {
    faults.push(
      `--speed ${speed}: expected 1 with --rig ${flags.rig}; only the simulated bath can run faster.`,
    );
  }
  const seed = numberFlag('seed', flags.seed, 1, 0, 2 ** 31, faults);
  const port = flags.port === undefined ? null : numberFlag('port', flags.port, 0, 0, 65535, faults);
  if (faults.length > 0 || rig === undefined) {
    io.err(`${faults.join('\n')}\n`);
    return 2;
  }
  const loaded = loadConfig(flags.config, process.env.BATHKEEPER_CONFIG);
  if (!loaded.ok) {
    io.err(`${loaded.message}\n`);
    return 2;
  }
  const config = {
    ...loaded.config,
    ...(port === null ? {} : { port }),
    ...(flags.host === undefined ? {} : { host: flags.host }),
    ...(flags.data === undefined ? {} : { dataDir: flags.data }),
  };
  const unset = rig === 'usb' ? unsetFault(config) : null;
  if (unset !== null) {
    io.err(`${unset.message}\n`);
    return 2;
  }
  const controller = await startController({
    config,
    rig,
    speed,
    seed,
    codeVersion: codeVersion(),
    assetsDir: fileURLToPath(new URL(assetsPath(), import.meta.url)),
    log: (line) => io.err(`${line}\n`),
    onPairingCode: (code) => io.out(`Pairing code for a phone: ${code}\n`),
  });
  await announce(controller.port, config.host, speed, io);
  await new Promise<void>((resolve) => {
    process.once('SIGINT', resolve);
    process.once('SIGTERM', resolve);
  });
  io.out('\nStopping: heat off, log to disk.\n');
  await controller.close();
  return 0;
}

type Flags = Partial<Record<'rig' | 'speed' | 'seed' | 'port' | 'host' | 'data' | 'config', string>> & {
  help?: boolean;
};

function readFlags(argv: readonly string[], io: CliIo): Flags | null {
  try {
    return parseArgs({ args: [...argv], options: FLAGS }).values;
  } catch (error) {
    io.err(`${(error as Error).message}\nSee: bathkeeper run --help\n`);
    return null;
  }
}

function numberFlag(
  name: string,
  text: string | undefined,
  usual: number,
  low: number,
  high: number,
  faults: string[],
): number {
  if (text === undefined) return usual;
  const value = Number(text);
  if (Number.isInteger(value) && value >= low && value <= high) return value;
  faults.push(`--${name} "${text}": expected a whole number from ${low} to ${high}.`);
  return usual;
}

/** Beside the compiled code lies the page; run from TypeScript, it lies in dist. */
function assetsPath(): string {
  return import.meta.url.endsWith('.ts') ? '../../dist/monitor' : '../../monitor';
}

async function announce(port: number, host: string, speed: number, io: CliIo): Promise<void> {
  const lan = host === '0.0.0.0' || host === '::' ? lanAddresses() : [host];
  const urls = lan.map((address) => `http://${address.includes(':') ? `[${address}]` : address}:${port}`);
  io.out(`\nBathkeeper is on http://localhost:${port}\n`);
  for (const url of urls) io.out(`On your phone, in the same network: ${url}\n`);
  if (speed > 1) io.out(`Demo time runs ${speed} times faster than real time.\n`);
  const first = urls[0];
  if (first) io.out(`${await QRCode.toString(first, { type: 'utf8', errorCorrectionLevel: 'L' })}\n`);
  io.out('Mains and water: RCD/GFCI, earth, drip loop; hot water scalds. The README has the cautions.\n');
  io.out('Stop with Ctrl+C.\n');
}

function lanAddresses(): string[] {
  return Object.values(networkInterfaces())
    .flatMap((list) => list ?? [])
    .filter((one) => one.family === 'IPv4' && !one.internal)
    .map((one) => one.address);
}

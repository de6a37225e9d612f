/**
 * The board's fault campaign: seeded moments with heat on, every fault in turn, against the firmware image that is
 * flashed, run in the emulator. Writes hardware/emulator/RESULTS.md when it ran in full.
 *
 *   npm run campaign:board                                   1,000 moments of every fault
 *   npm run campaign:board -- --fault hostSilent --seed 17 --moments 1   repeats one
 */
import { fork } from 'node:child_process';
import { createHash } from 'node:crypto';
import { writeFileSync } from 'node:fs';
import { availableParallelism, cpus } from 'node:os';
import { fileURLToPath } from 'node:url';
import { parseArgs } from 'node:util';
import { type CampaignFault, FAULTS } from './campaign-faults.ts';
import { repeatLine, runFault, type Summary } from './campaign-moments.ts';
import { FIRMWARE_HEX } from './campaign-scene.ts';

const FULL = 1000;
const RESULTS = new URL('../../hardware/emulator/RESULTS.md', import.meta.url);

interface Plan {
  fault: CampaignFault | undefined;
  moments: number;
  seed: number;
}

function wholeNumber(text: string, option: string): number {
  const value = Number(text);
  if (!Number.isSafeInteger(value) || value < 1)
    throw new Error(`--${option} takes a whole number from 1, not "${text}".`);
  return value;
}

function readPlan(argv: string[]): Plan {
  const { values } = parseArgs({
    args: argv,
    options: {
      fault: { type: 'string' },
      moments: { type: 'string', default: String(FULL) },
      seed: { type: 'string', default: '1' },
    },
  });
  const fault = FAULTS.find(({ name }) => name === values.fault);
  if (values.fault !== undefined && fault === undefined) {
    throw new Error(
      `--fault takes one of ${FAULTS.map(({ name }) => name).join(', ')}, not "${values.fault}".`,
    );
  }
  return { fault, moments: wholeNumber(values.moments, 'moments'), seed: wholeNumber(values.seed, 'seed') };
}

const caughtText = (summary: Summary): string =>
  Object.entries(summary.caughtBy)
    .sort(([, a], [, b]) => b - a)
    .map(([what, count]) => `${what} (${count})`)
    .join(', ');

const line = (summary: Summary): string =>
  `| ${summary.title} | ${caughtText(summary)} | ${summary.medianMs.toFixed(0)} ms | ${summary.worstMs.toFixed(0)} ms | ${summary.boundMs} ms | ${summary.moments - summary.failures.length} of ${summary.moments} |`;

function report(summaries: readonly Summary[]): string {
  const image = createHash('sha256').update(FIRMWARE_HEX).digest('hex').slice(0, 16);
  return `# Fault campaign of the emulated board

Run on ${new Date().toISOString().slice(0, 10)} by \`npm run campaign:board\`, ${cpus().length} x ${cpus()[0]?.model ?? 'unknown processor'},
Node ${process.versions.node}. Firmware image \`two-switch.hex\`, SHA-256 ${image}...

Each row is ${FULL.toLocaleString('en')} moments with heat on, told by seeds 1 to ${FULL}: another second, another phase of the
host's tick, leases of 1600 to 2000 ms, a watchdog oscillator within 25 % of 128 kHz, with or without a supply beside
USB. The host of the campaign is blind: it asks for heat at every tick whatever it hears. What opens the circuit is
the board alone. Times run from the fault to the last moment both switches conducted, by their pins; a relay or
contactor adds its own drop-out time. After that the circuit was watched for the rest of 5 s and had to stay open.

| fault | what opened the circuit (moments) | median | worst | allowed | held |
|---|---|---|---|---|---|
${summaries.map(line).join('\n')}

Notes: a processor is frozen in one of three ways (executing nothing; main loop stuck with interrupts served; crystal
stopped). A short is to ground or to the supply. A stall lasts 10 ms to 8 s while the host goes on writing. With a
switch welded, the time runs from what next asks the circuit to open: the host's silence, its release, or low water.
A jump to exactly 85.0 degC looks like the value a sensor holds after power-on; the board takes it for no reading,
so it is the probe's silence that cuts, counted from the last reading that was good. No bath jumps like that.
A brown-out lets go of the pins at once because a chip in reset drives nothing; the drawing has pull-downs for that.
`;
}

/** Runs some faults in a process of its own. */
function inChild(names: string[], plan: Plan): Promise<Summary[]> {
  const child = fork(fileURLToPath(import.meta.url), [
    '--as-child',
    names.join(','),
    `${plan.moments}`,
    `${plan.seed}`,
  ]);
  const summaries: Summary[] = [];
  child.on('message', (summary) => {
    summaries.push(summary as Summary);
    console.log(line(summary as Summary));
  });
  return new Promise((resolve, reject) => {
    child.on('exit', (code) =>
      code === 0 ? resolve(summaries) : reject(new Error(`A worker ended with code ${code}.`)),
    );
  });
}

function asChild([names = '', moments = '', seed = '']: string[]): void {
  for (const fault of FAULTS.filter(({ name }) => names.split(',').includes(name))) {
    process.send?.(runFault(fault, Number(moments), Number(seed)));
  }
}

async function main(argv: string[]): Promise<void> {
  const plan = readPlan(argv);
  const faults = plan.fault === undefined ? FAULTS : [plan.fault];
  const workers = Math.min(availableParallelism(), faults.length);
  const shares = Array.from({ length: workers }, (_, worker) =>
    faults.filter((_fault, index) => index % workers === worker).map(({ name }) => name),
  );
  const done = (await Promise.all(shares.map((names) => inChild(names, plan)))).flat();
  const summaries = faults.map(({ name }) => done.find((summary) => summary.name === name)!);
  const failures = summaries.flatMap((summary) =>
    summary.failures.map((outcome) => repeatLine(summary, outcome)),
  );
  for (const failure of failures) console.error(failure);
  process.exitCode = failures.length > 0 ? 1 : 0;
  if (plan.fault === undefined && plan.moments === FULL && plan.seed === 1)
    writeFileSync(RESULTS, report(summaries));
}

const argv = process.argv.slice(2);
if (argv[0] === '--as-child') asChild(argv.slice(1));
else {
  main(argv).catch((error: Error) => {
    console.error(error.message);
    process.exitCode = 2;
  });
}

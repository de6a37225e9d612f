/**
 * The firmware's fuzz campaign: random and mutated bytes into the committed image, every edge of the switch pins against
 * the independent ledger; then firmware with one check loosened at a time, each of which the ledger must catch. Writes
 * hardware/firmware/RESULTS.md when it ran in full.
 *
 *   node --import tsx tests/hardware/campaign-fuzz.ts                        10 million bytes, all mutants
 *   node --import tsx tests/hardware/campaign-fuzz.ts --bytes 50000 --seed 7 --no-mutants
 *   node --import tsx tests/hardware/campaign-fuzz.ts --repeat 1001/63       one round that failed, by seed and number
 */
import { fork } from 'node:child_process';
import { createHash } from 'node:crypto';
import { writeFileSync } from 'node:fs';
import { availableParallelism, cpus } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { parseArgs } from 'node:util';
import { type FuzzResult, fuzz } from './firmware-fuzz.ts';
import { compileMutant, MUTANTS } from './firmware-mutants.ts';
import { firmwareFolder, image } from './firmware-rig.ts';

const FULL_BYTES = 10_000_000;
const MUTANT_BYTES = 400_000;
const MUTANT_SEED = 3;

interface Job {
  bytes: number;
  seed: number;
}

function wholeNumber(text: string, option: string): number {
  const value = Number(text);
  if (!Number.isSafeInteger(value) || value < 1)
    throw new Error(`--${option} takes a whole number from 1, not "${text}".`);
  return value;
}

/** Runs a share of the bytes in a process of its own. */
function inChild(job: Job): Promise<FuzzResult> {
  const child = fork(fileURLToPath(import.meta.url), ['--as-child', `${job.bytes}`, `${job.seed}`]);
  let result: FuzzResult | undefined;
  child.on('message', (message) => {
    result = message as FuzzResult;
  });
  return new Promise((resolve, reject) => {
    child.on('exit', (code) =>
      code === 0 && result !== undefined
        ? resolve(result)
        : reject(new Error(`A worker ended with code ${code}.`)),
    );
  });
}

const add = (a: FuzzResult, b: FuzzResult): FuzzResult =>
  Object.fromEntries(
    Object.entries(a).map(([key, value]) => [key, value + b[key as keyof FuzzResult]]),
  ) as unknown as FuzzResult;

/** In which round the ledger objected to a mutant, or null when it never did. */
function judgeMutant(hex: string): number | null {
  let rounds = 0;
  try {
    fuzz({ bytes: MUTANT_BYTES, seed: MUTANT_SEED, hex, onRound: () => (rounds += 1) });
    return null;
  } catch {
    return rounds + 1;
  }
}

function report(seed: number, total: FuzzResult, mutants: readonly (readonly [string, number])[]): string {
  const digest = createHash('sha256').update(image()).digest('hex').slice(0, 16);
  const number = (value: number): string => Math.round(value).toLocaleString('en');
  return `# Fuzz of the firmware

Run on ${new Date().toISOString().slice(0, 10)} by \`tests/hardware/campaign-fuzz.ts\`, ${cpus().length} x ${cpus()[0]?.model ?? 'unknown processor'},
Node ${process.versions.node}, seed ${seed}. Image \`two-switch.hex\`, SHA-256 ${digest}...

${number(total.bytes)} bytes in ${number(total.rounds)} rounds from one connected board: noise, framed noise, valid messages in any order,
valid messages spoilt (bits flipped, bytes lost, put in, doubled, cut), leases on old, used and unknown nonces, and a host that
wants heat. The independent ledger (\`tests/hardware/firmware-ledger.ts\`) compared ${number(total.milliseconds)} ms and all ${number(total.edges)} edges of
the two switch pins, each to its tick and within 25 us of it, with ${number(total.heatedMs / 1000)} s of heat and ${number(total.trips)} rounds that ended in a trip. In
${number(total.doubtful)} ms more than one thing was allowed. No hang, no watchdog reset, no lost byte, no edge out of place.

The same run on firmware with one check loosened stops, as it must:

| loosened | round in which the ledger objected |
|---|---|
${mutants.map(([name, bytes]) => `| ${name} | ${number(bytes)} |`).join('\n')}
`;
}

async function main(argv: string[]): Promise<void> {
  const { values } = parseArgs({
    args: argv,
    options: {
      bytes: { type: 'string', default: `${FULL_BYTES}` },
      seed: { type: 'string', default: '1' },
      'no-mutants': { type: 'boolean', default: false },
      repeat: { type: 'string' },
    },
  });
  if (values.repeat !== undefined) {
    const [seed = '', round = ''] = values.repeat.split('/');
    console.log(fuzz({ bytes: 1, seed: wholeNumber(seed, 'repeat'), firstRound: Number(round) }));
    return;
  }
  const bytes = wholeNumber(values.bytes, 'bytes');
  const seed = wholeNumber(values.seed, 'seed');
  const workers = availableParallelism();
  const shares = Array.from({ length: workers }, (_, i) => ({
    bytes: Math.ceil(bytes / workers),
    seed: seed + i * 1000,
  }));
  const total = (await Promise.all(shares.map(inChild))).reduce(add);
  console.log(total);
  if (values['no-mutants']) return;
  const judged: [string, number][] = [];
  for (const mutant of MUTANTS) {
    const caught = judgeMutant(compileMutant(firmwareFolder(), mutant));
    if (caught === null) throw new Error(`The ledger did not notice that ${mutant.name}.`);
    console.log(`${mutant.name}: caught in round ${caught}`);
    judged.push([mutant.name, caught]);
  }
  if (bytes === FULL_BYTES) writeFileSync(join(firmwareFolder(), 'RESULTS.md'), report(seed, total, judged));
}

const argv = process.argv.slice(2);
if (argv[0] === '--as-child') process.send?.(fuzz({ bytes: Number(argv[1]), seed: Number(argv[2]) }));
else {
  main(argv).catch((error: Error) => {
    console.error(error.message);
    process.exitCode = 1;
  });
}

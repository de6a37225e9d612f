import { writeFileSync } from 'node:fs';
import { availableParallelism, cpus } from 'node:os';
import { join } from 'node:path';
import { parseArgs } from 'node:util';
import type { Job, JobResult } from './job.ts';
import { keptRuns, keyOf } from './kept-runs.ts';
import { KINDS, kindOf } from './kinds.ts';
import { faultTable, healthyLines, resultsPage } from './paper.ts';
import { runAll } from './pool.ts';
import { failures, healthySummary, summaryOf } from './summary.ts';

/*
 * npm run campaign -- --seeds N [--healthy N] [--kind "..."] [--seed N] [--workers N] [--write] [--keep FILE]
 * Every kind of fault over N rigs, and sound cooks (ten a seed). Exits 1 where a limit was broken.
 * --keep FILE notes each run as it ends, and takes up what an interrupted campaign of the same code has noted there.
 */

const PAPER = join('tests', 'faults', 'RESULTS.md');
const SOUND = 'sound cook';

const { values } = parseArgs({
  options: {
    seeds: { type: 'string', default: '100' },
    healthy: { type: 'string' },
    kind: { type: 'string' },
    seed: { type: 'string' },
    workers: { type: 'string' },
    write: { type: 'boolean', default: false },
    keep: { type: 'string' },
  },
});

function whole(text: string, name: string): number {
  const value = Number(text);
  if (!Number.isInteger(value) || value < 0) throw new Error(`--${name} ${text}: expected a whole number`);
  return value;
}

const seeds = whole(values.seeds, 'seeds');
const one = values.seed === undefined ? null : whole(values.seed, 'seed');
const numbers = one === null ? Array.from({ length: seeds }, (_, i) => i + 1) : [one];

function jobs(): Job[] {
  const kinds = values.kind === undefined ? KINDS : values.kind === SOUND ? [] : [kindOf(values.kind)];
  const faults = kinds.flatMap((kind) => numbers.map((seed): Job => ({ kind: kind.id, seed })));
  if (values.kind !== undefined && values.kind !== SOUND) return faults;
  const count = values.healthy === undefined ? 10 * seeds : whole(values.healthy, 'healthy');
  const sound = one === null ? Array.from({ length: count }, (_, i) => i + 1) : [one];
  return [...faults, ...sound.map((seed): Job => ({ kind: null, seed }))];
}

function told(finished: number, all: number): void {
  if (finished % 100 === 0 || finished === all) process.stderr.write(`\r${finished} of ${all} runs`);
  if (finished === all) process.stderr.write('\n');
}

function show(results: readonly JobResult[], minutes: number | null): number {
  const summaries = KINDS.flatMap((kind) => {
    const own = results.flatMap((result) => (result.fault?.kind === kind.id ? [result.fault] : []));
    return own.length > 0 ? [summaryOf(kind, own)] : [];
  });
  const healthy = healthySummary(results.flatMap((result) => (result.healthy ? [result.healthy] : [])));
  const broken = failures(results);
  for (const line of [...faultTable(summaries), '', ...healthyLines(healthy), '', ...broken])
    console.log(line);
  if (one !== null) console.log(JSON.stringify(results, null, 1));
  console.log(
    broken.length === 0 ? 'Every limit that nothing excuses was kept.' : `${broken.length} failures.`,
  );
  if (values.write) {
    const date = new Date().toISOString().slice(0, 10);
    const machine = `${cpus().length} x ${cpus()[0]?.model.trim()}, Node ${process.version}`;
    const paper = { date, machine, seeds, minutes, summaries, healthy, failures: broken };
    writeFileSync(PAPER, resultsPage(paper));
  }
  return broken.length;
}

const all = jobs();
const kept = keptRuns(values.keep);
const open = all.filter((job) => !kept.results.has(keyOf(job)));
const workers = values.workers === undefined ? availableParallelism() : whole(values.workers, 'workers');
const began = performance.now();
const minutes = () => (performance.now() - began) / 60_000;
const finished = new Map(kept.results);
let count = all.length - open.length;
if (open.length > 0) {
  await runAll(open, Math.max(1, Math.min(workers, open.length)), (job, result) => {
    finished.set(keyOf(job), result);
    kept.keep(job, result);
    told(++count, all.length);
  });
}
const results = all.flatMap((job) => finished.get(keyOf(job)) ?? []);
// A campaign in parts took as long as nobody counted.
process.exitCode = show(results, kept.results.size > 0 ? null : minutes()) > 0 ? 1 : 0;

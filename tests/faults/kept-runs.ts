import { createHash } from 'node:crypto';
import { appendFileSync, existsSync, readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import type { Job, JobResult } from './job.ts';

/** Runs of an interrupted campaign, one JSON line each; a run of other code is not taken up again. */
export interface KeptRuns {
  readonly results: ReadonlyMap<string, JobResult>;
  keep(job: Job, result: JobResult): void;
}

interface Line {
  readonly code: string;
  readonly key: string;
  readonly result: JobResult;
}

/** What a run is known by. */
export const keyOf = ({ kind, seed }: Job) => `${kind ?? 'sound cook'} ${seed}`;

/** Opens the file of kept runs; without a path nothing is kept. */
export function keptRuns(path: string | undefined): KeptRuns {
  if (path === undefined) return { results: new Map(), keep: () => {} };
  const code = fingerprint();
  const results = new Map<string, JobResult>();
  for (const line of linesOf(path)) if (line.code === code) results.set(line.key, line.result);
  return {
    results,
    keep: (job, result) =>
      appendFileSync(path, `${JSON.stringify({ code, key: keyOf(job), result } satisfies Line)}\n`),
  };
}

function linesOf(path: string): Line[] {
  if (!existsSync(path)) return [];
  return readFileSync(path, 'utf8')
    .split('\n')
    .flatMap((text) => {
      try {
        return [JSON.parse(text) as Line];
      } catch {
        // The last line of a campaign that was cut short.
        return [];
      }
    });
}

/** Files that only give out, sum up and tell: no outcome of a run depends on them. */
const TELLING =
  /(campaign|campaign-worker|kept-runs|paper|pool|summary|tables|write-tables|caught-by|loosened|reduced)\.(js|ts)$/;

/** A hash of all code that a run's outcome depends on. */
function fingerprint(): string {
  const root = fileURLToPath(new URL('../..', import.meta.url));
  const hash = createHash('sha256');
  for (const folder of ['shared', 'controller/tick', 'controller/rig', 'tests/faults'])
    for (const file of filesUnder(join(root, folder))) hash.update(readFileSync(file));
  return hash.digest('hex').slice(0, 16);
}

function filesUnder(folder: string): string[] {
  return readdirSync(folder, { recursive: true, withFileTypes: true })
    .filter(({ name }) => /\.(js|ts)$/.test(name) && !TELLING.test(name))
    .map((entry) => join(entry.parentPath, entry.name))
    .sort();
}

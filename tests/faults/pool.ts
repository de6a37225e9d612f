import type { Worker } from 'node:worker_threads';
import { startWorker } from '../../controller/journal/spawn.ts';
import type { Job, JobResult } from './job.ts';

/** Runs every job over so many workers; results come in the order of the jobs. `done` is told after each. */
export async function runAll(
  jobs: readonly Job[],
  workers: number,
  done: (finished: number) => void,
): Promise<JobResult[]> {
  const results = new Array<JobResult>(jobs.length);
  let next = 0;
  let finished = 0;
  const serve = (worker: Worker) =>
    new Promise<void>((resolve, reject) => {
      let at = -1;
      const give = () => {
        at = next++;
        if (at >= jobs.length) resolve();
        else worker.postMessage(jobs[at]);
      };
      worker.on('message', (result: JobResult) => {
        results[at] = result;
        done(++finished);
        give();
      });
      worker.on('error', reject);
      give();
    });
  const pool = Array.from({ length: workers }, () => startWorker('campaign-worker', import.meta.url, null));
  try {
    await Promise.all(pool.map(serve));
  } finally {
    await Promise.all(pool.map((worker) => worker.terminate()));
  }
  return results;
}

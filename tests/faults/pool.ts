import type { Worker } from 'node:worker_threads';
import { startWorker } from '../../controller/journal/spawn.ts';
import type { Job, JobResult } from './job.ts';

/** Runs every job over so many workers; `done` is told of each as it ends. */
export async function runAll(
  jobs: readonly Job[],
  workers: number,
  done: (job: Job, result: JobResult) => void,
): Promise<void> {
  let next = 0;
  const serve = (worker: Worker) =>
    new Promise<void>((resolve, reject) => {
      let at = -1;
      const give = () => {
        at = next++;
        if (at >= jobs.length) resolve();
        else worker.postMessage(jobs[at]);
      };
      worker.on('message', (result: JobResult) => {
        done(jobs[at]!, result);
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
}

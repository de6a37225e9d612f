import { parentPort } from 'node:worker_threads';
import { type Job, runJob } from './job.ts';

/** Runs jobs as they come and answers each. */
parentPort?.on('message', (job: Job) => parentPort?.postMessage(runJob(job)));

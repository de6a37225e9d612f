import { createRequire } from 'node:module';
import { pathToFileURL } from 'node:url';
import { Worker } from 'node:worker_threads';

/**
 * Starts a worker that lies beside the calling module: `startWorker('write-worker', import.meta.url, data)`.
 * Compiled code starts the compiled worker. Under a TypeScript loader (tests) Node cannot start a .ts
 * file in a worker by itself, so the worker is given that loader, from wherever it is installed.
 */
export function startWorker(name: string, callerUrl: string, workerData: unknown): Worker {
  const typescript = new URL(callerUrl).pathname.endsWith('.ts');
  const url = new URL(`./${name}.${typescript ? 'ts' : 'js'}`, callerUrl);
  const execArgv = typescript ? ['--import', loaderUrl()] : [];
  return new Worker(url, { name, workerData, execArgv });
}

function loaderUrl(): string {
  return pathToFileURL(createRequire(import.meta.url).resolve('tsx')).href;
}

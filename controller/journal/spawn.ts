import { createRequire } from 'node:module';
import { pathToFileURL } from 'node:url';
import { Worker } from 'node:worker_threads';

/**
 * Starts a worker that lies beside the calling module: `startWorker('write-worker', import.meta.url, data)`.
 * Compiled code starts the compiled worker. Where the caller runs from TypeScript (tests, benches) Node
 * cannot start a .ts file in a worker by itself, so the worker is first given a loader for it.
 */
export function startWorker(name: string, callerUrl: string, workerData: unknown): Worker {
  const typescript = new URL(callerUrl).pathname.endsWith('.ts');
  const url = new URL(`./${name}.${typescript ? 'ts' : 'js'}`, callerUrl);
  return new Worker(url, { name, workerData, execArgv: typescript ? ['--import', loader()] : [] });
}

/** The loader as a module of its own: imported by its name alone, tsx acts in the main thread only. */
function loader(): string {
  const require = createRequire(import.meta.url);
  const manifest = require.resolve('tsx/package.json');
  const entry: string = require(manifest).exports['./esm/api'].import.default;
  const api = new URL(entry, pathToFileURL(manifest)).href;
  const code = `import { register } from ${JSON.stringify(api)}; register();`;
  return `data:text/javascript,${encodeURIComponent(code)}`;
}

import { parentPort, type Worker } from 'node:worker_threads';
import { BathkeeperError, type ErrorCode } from '../../shared/wire/errors.ts';
import { firstLine, journalError } from './driver.ts';

interface Call {
  readonly id: number;
  readonly method: string;
  readonly argument: unknown;
}
type Answer =
  | { readonly id: number; readonly value: unknown }
  | { readonly id: number; readonly code: ErrorCode; readonly detail: string };

/** Functions that a worker offers; each takes one argument of plain data and gives plain data. */
// biome-ignore lint/suspicious/noExplicitAny: each handler states its own argument; the link checks nothing twice.
export type Handlers = Record<string, (argument: any) => unknown>;

/** Answers calls in the worker, in order of arrival. What a handler throws reaches the caller as a BathkeeperError. */
export function serveCalls(handlers: Handlers): void {
  const port = parentPort;
  if (!port) throw new Error('this module runs in a worker only');
  port.on('message', async ({ id, method, argument }: Call) => {
    try {
      const handler = handlers[method];
      if (!handler) throw new Error('the worker offers no such call');
      const value = await handler(argument);
      port.postMessage({ id, value } satisfies Answer);
    } catch (error) {
      const { code, detail } = journalError(error, method);
      port.postMessage({ id, code, detail } satisfies Answer);
    }
  });
}

/** The calling end. Calls reject with `journal-failed` once the worker has stopped, for whatever reason. */
export class Link {
  readonly #worker: Worker;
  readonly #waiting = new Map<number, { resolve(value: unknown): void; reject(error: Error): void }>();
  #nextId = 1;
  #stopped: BathkeeperError | null = null;

  constructor(worker: Worker) {
    this.#worker = worker;
    worker.on('message', (answer: Answer) => this.#answer(answer));
    worker.on('error', (error) => this.#stop(firstLine(error)));
    worker.on('exit', (code) => this.#stop(`exit code ${code}`));
  }

  /** True once the worker has stopped. */
  get stopped(): boolean {
    return this.#stopped !== null;
  }

  /** Calls a function of the worker. */
  call<T>(method: string, argument: unknown = null): Promise<T> {
    if (this.#stopped) return Promise.reject(this.#stopped);
    return new Promise<T>((resolve, reject) => {
      const id = this.#nextId++;
      this.#worker.postMessage({ id, method, argument } satisfies Call);
      this.#waiting.set(id, { resolve: resolve as (value: unknown) => void, reject });
    });
  }

  /** Ends the worker, whatever it is doing. */
  async end(): Promise<void> {
    await this.#worker.terminate();
  }

  #answer(answer: Answer): void {
    const waiting = this.#waiting.get(answer.id);
    this.#waiting.delete(answer.id);
    if ('code' in answer) waiting?.reject(new BathkeeperError(answer.code, answer.detail));
    else waiting?.resolve(answer.value);
  }

  #stop(why: string): void {
    this.#stopped ??= new BathkeeperError(
      'journal-failed',
      `(the worker that keeps the log stopped: ${why})`,
    );
    for (const { reject } of this.#waiting.values()) reject(this.#stopped);
    this.#waiting.clear();
  }
}

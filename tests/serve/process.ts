import { type ChildProcess, spawn } from 'node:child_process';
import type { CommandInput } from '../../shared/wire/command.ts';
import { ensureBuilt } from '../built.ts';

/** A real controller process on the simulated rig, and a phone that is paired with it. */
export interface RunningController {
  readonly url: string;
  readonly child: ChildProcess;
  readonly output: () => string;
  pair(name?: string): Promise<string>;
  get(path: string): Promise<Response>;
  command(body: Record<string, unknown> & { kind: CommandInput['kind'] }): Promise<Response>;
  plant(body: Record<string, unknown>): Promise<Response>;
  /** As the mains would: no warning, nothing flushed. */
  kill(): Promise<void>;
  stop(): Promise<number | null>;
}

const HEADERS = { 'content-type': 'application/json', 'x-bathkeeper-client': 'test' };
let ids = 0;

interface Started {
  readonly child: ChildProcess;
  readonly output: () => string;
  readonly ended: Promise<number | null>;
  readonly url: string;
}

async function spawnController(dataDir: string, flags: readonly string[]): Promise<Started> {
  ensureBuilt();
  const usual = ['run', '--port', '0', '--host', '127.0.0.1', '--data', dataDir];
  const args = ['dist/controller/cli/bathkeeper.js', ...usual, ...flags];
  const child = spawn(process.execPath, args, { stdio: ['ignore', 'pipe', 'pipe'] });
  let text = '';
  const take = (chunk: Buffer): void => {
    text += chunk;
  };
  child.stdout.on('data', take);
  child.stderr.on('data', take);
  const ended = new Promise<number | null>((resolve) => child.once('exit', (code) => resolve(code)));
  await until(
    () => /localhost:\d+[\s\S]*Stop with/.test(text) || child.exitCode !== null,
    () => text,
  );
  const port = /localhost:(\d+)/.exec(text)?.[1];
  if (port === undefined) throw new Error(`the controller did not start:\n${text}`);
  return { child, output: () => text, ended, url: `http://127.0.0.1:${port}` };
}

/** Starts `bathkeeper run` on a free port; resolves once the page is served. */
export async function startProcess(
  dataDir: string,
  flags: readonly string[] = [],
): Promise<RunningController> {
  const { child, output, ended, url } = await spawnController(dataDir, flags);
  let cookie = '';
  const post = (path: string, body: unknown) =>
    fetch(`${url}${path}`, { method: 'POST', headers: { ...HEADERS, cookie }, body: JSON.stringify(body) });
  return {
    url,
    child,
    output,
    async pair(name = 'Hut phone') {
      const code = [...output().matchAll(/Pairing code for a phone: (\d{6})/g)].at(-1)?.[1];
      const answer = await post('/api/pair', { code, name });
      if (!answer.ok) throw new Error(`pairing failed: ${await answer.text()}`);
      const given = answer.headers.getSetCookie();
      cookie = given.map((one) => one.split(';')[0]).join('; ');
      return cookie;
    },
    get: (path) => fetch(`${url}${path}`, { headers: { ...HEADERS, cookie } }),
    command: (body) => post('/api/command', { id: `t${++ids}`, ...body }),
    plant: (body) => post('/api/plant', body),
    async kill() {
      child.kill('SIGKILL');
      await ended;
    },
    async stop() {
      child.kill('SIGTERM');
      return ended;
    },
  };
}

/** Waits until something is so, for at most 30 s; the words tell what was seen instead. */
export async function until(so: () => boolean | Promise<boolean>, words: () => string): Promise<void> {
  const end = Date.now() + 30_000;
  while (!(await so())) {
    if (Date.now() > end) throw new Error(`waited in vain:\n${words()}`);
    await new Promise((resolve) => setTimeout(resolve, 50));
  }
}

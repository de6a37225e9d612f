import { type ChildProcess, spawn } from 'node:child_process';

export interface Ended {
  readonly code: number | null;
  readonly out: string;
  readonly err: string;
}

/**
 * `bathkeeper rig` as a process of its own.
 * @param watch sees each line for people as it comes
 * @param uid as another user, with a bare environment
 */
export function rigProcess(
  argv: readonly string[],
  watch: (line: string) => void = () => {},
  uid?: number,
): Promise<Ended> {
  const args = ['--import', 'tsx', 'controller/cli/bathkeeper.ts', 'rig', ...argv];
  const child: ChildProcess = spawn(process.execPath, args, {
    stdio: ['ignore', 'pipe', 'pipe'],
    ...(uid === undefined ? {} : { uid, gid: uid, env: { PATH: process.env.PATH } }),
  });
  let out = '';
  let err = '';
  child.stdout?.on('data', (text: Buffer) => {
    out += text;
  });
  child.stderr?.on('data', (text: Buffer) => {
    err += text;
    for (const line of text.toString().split('\n')) if (line !== '') watch(line);
  });
  return new Promise((resolve) => child.on('close', (code) => resolve({ code, out, err })));
}

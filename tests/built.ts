import { execFileSync } from 'node:child_process';

let done = false;

/** The compiled product, as a newcomer runs it. `npm test` has built it already; a single file run builds it here. */
export function ensureBuilt(): void {
  if (done || process.env.BATHKEEPER_BUILT === '1') return;
  execFileSync('npm', ['run', 'build', '--silent'], {
    stdio: 'inherit',
    env: { ...process.env, NODE_ENV: 'production' },
  });
  done = true;
}

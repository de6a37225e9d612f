import { execFileSync } from 'node:child_process';
import { existsSync, readFileSync } from 'node:fs';

/** Every TypeScript, TSX and C file git knows or would take in, as paths from the project's root. */
export function sourceFiles(): string[] {
  const listed = execFileSync('git', ['ls-files', '--cached', '--others', '--exclude-standard'], {
    encoding: 'utf8',
  });
  return listed
    .split('\n')
    .filter((path) => /\.(ts|tsx|c|h|mjs|css)$/.test(path) && !path.endsWith('.d.ts') && existsSync(path));
}

/** Text of a file. */
export function read(path: string): string {
  return readFileSync(path, 'utf8');
}

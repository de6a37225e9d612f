import { readFileSync } from 'node:fs';

/** Version of this code, from package.json, whether run compiled or from TypeScript. */
export function codeVersion(): string {
  const root = import.meta.url.endsWith('.ts') ? '../../package.json' : '../../../package.json';
  const { version } = JSON.parse(readFileSync(new URL(root, import.meta.url), 'utf8')) as { version: string };
  return version;
}

import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, afterEach } from 'vitest';

const made: string[] = [];
afterEach(() => {
  for (const folder of made.splice(0)) rmSync(folder, { recursive: true, force: true });
});

/** A folder of its own for one test, removed afterwards. */
export function ownFolder(): string {
  const folder = mkdtempSync(join(tmpdir(), 'bathkeeper-journal-'));
  made.push(folder);
  return folder;
}

const templates: string[] = [];
afterAll(() => {
  for (const folder of templates.splice(0)) rmSync(folder, { recursive: true, force: true });
});

/** A folder for what is made once and copied by each test of a file; removed after the last of them. */
export function templateFolder(): string {
  const folder = mkdtempSync(join(tmpdir(), 'bathkeeper-journal-'));
  templates.push(folder);
  return folder;
}

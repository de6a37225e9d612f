// `npm test`: brings what the tests need, builds, runs everything, and ends with one line of counts.
import { spawnSync } from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { need } from './need.mjs';

const files = process.argv.slice(2);
const wants = (part) => files.length === 0 || files.some((file) => file.includes(part));

function fail(message) {
  console.error(`\n${message}`);
  console.log('0 passed, 1 failed');
  process.exit(1);
}

function step(command, args) {
  const done = spawnSync(command, args, { stdio: 'inherit', shell: process.platform === 'win32' });
  if (done.status !== 0) fail(`"${command} ${args.join(' ')}" failed; see above.`);
}

try {
  const sqlite = spawnSync(process.execPath, ['-e', "new (require('better-sqlite3'))(':memory:').close()"], {
    encoding: 'utf8',
  });
  if (sqlite.status !== 0) {
    throw new Error(
      'The SQLite library could not be loaded. On Debian: apt-get install -y g++ make python3 && npm rebuild better-sqlite3. ' +
        'Elsewhere: install a C++ compiler, make and Python 3, then npm rebuild better-sqlite3.',
    );
  }
  if (wants('browser')) await need('chromium', 'chromium');
  if (wants('hardware')) {
    await need('gcc-avr avr-libc binutils-avr', 'avr-gcc');
    await need('socat', 'socat');
  }
} catch (error) {
  fail(error.message);
}

step('npm', ['run', 'build', '--silent']);
if (files.length === 0) {
  step('npx', ['tsc', '-p', 'tsconfig.json']);
  step('npx', ['tsc', '-p', 'monitor/tsconfig.json']);
  step('npx', ['biome', 'check', '.']);
}

const folder = mkdtempSync(join(tmpdir(), 'bathkeeper-test-'));
const report = join(folder, 'report.json');
const run = spawnSync(
  'npx',
  ['vitest', 'run', ...files, '--reporter=default', '--reporter=json', `--outputFile.json=${report}`],
  { stdio: 'inherit', env: { ...process.env, BATHKEEPER_BUILT: '1' } },
);
let passed = 0;
let failed = 1;
try {
  const result = JSON.parse(readFileSync(report, 'utf8'));
  passed = result.numPassedTests;
  failed = result.numFailedTests;
  const skipped = result.numPendingTests + result.numTodoTests;
  // A file that could not even be loaded counts no test, and must not pass for that.
  const broken = result.testResults.filter(
    (file) => file.status === 'failed' && file.assertionResults.every((one) => one.status !== 'failed'),
  ).length;
  failed += broken;
  // On a machine that has all it takes (CI, or root on Debian) a skipped test is a failed one.
  if (skipped > 0 && (process.env.CI || process.getuid?.() === 0)) {
    console.error(`${skipped} tests were skipped; here every test can run.`);
    failed += skipped;
  } else if (skipped > 0) {
    console.error(`${skipped} tests were skipped; each says why in its title.`);
  }
  if (passed === 0) failed = Math.max(failed, 1);
} catch {
  console.error('The test runner left no report.');
}
rmSync(folder, { recursive: true, force: true });
if (run.status !== 0 && failed === 0) failed = 1;
console.log(`${passed} passed, ${failed} failed`);
process.exit(failed === 0 ? 0 : 1);

import { type Asked, readFlags } from '../../controller/cli/assess/flags.ts';
import { readLog } from '../../controller/cli/assess/log.ts';
import { assess } from '../../controller/cli/assess.ts';

const ROWS = 72 * 3600;

/** A log of 72 h at one row a second, as a logger would write it. */
function threeDays(): Uint8Array {
  const lines = ['time,bath_c'];
  for (let s = 0; s < ROWS; s++) {
    const at = new Date(Date.UTC(2026, 9, 3) + s * 1000).toISOString();
    lines.push(`${at},${(65 + Math.sin(s / 300)).toFixed(2)}`);
  }
  return new TextEncoder().encode(`${lines.join('\n')}\n`);
}

const asked = (...flags: string[]) =>
  readFlags(['log.csv', '--thickness', '40mm', '--start', '5C', '--json', ...flags]) as Asked;

function timed<T>(run: () => T): { seconds: number; result: T } {
  const before = performance.now();
  const result = run();
  return { seconds: (performance.now() - before) / 1000, result };
}

/** `assess` on a 72 h log at one row a second: time and memory, against the named baseline of reading that log alone. */
export async function benchAssess(): Promise<string[]> {
  const bytes = threeDays();
  const read = timed(() => readLog(bytes, asked('--shape', 'slab')));
  const report = [
    `assess, 72 h log at 1 s (${ROWS} rows, ${(bytes.length / 1e6).toFixed(1)} MB): baseline, reading it alone ${read.seconds.toFixed(1)} s`,
  ];
  const cases: readonly (readonly [string, readonly string[]])[] = [
    ['one cut, slab', ['--shape', 'slab', '--cut', 'lamb-shoulder']],
    ['one cut, brick', ['--shape', 'brick', '--cut', 'lamb-shoulder']],
    ['no cut, every standard, slab', ['--shape', 'slab']],
    ['one cut, slab of 1 mm', ['--shape', 'slab', '--cut', 'lamb-shoulder', '--thickness', '1mm']],
  ];
  for (const [name, flags] of cases) {
    globalThis.gc?.();
    const { seconds, result } = timed(() => assess(bytes, asked(...flags)));
    const megabytes = process.memoryUsage().rss / 1e6;
    report.push(
      `${name}: ${seconds.toFixed(1)} s (${(seconds / read.seconds).toFixed(1)} times the baseline; ${((seconds * 1e6) / ROWS).toFixed(0)} us a row), ${result.lethality.length} standards; memory of the process ${megabytes.toFixed(0)} MB`,
    );
  }
  return report;
}

if (process.argv[1]?.endsWith('assess.ts')) console.log((await benchAssess()).join('\n'));

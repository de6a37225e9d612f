import { execFileSync } from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { startProcess, until } from '../serve/process.ts';

/** Resident memory of the real controller after a stretch of demo time with a cook, against a bare Node process. */
export async function benchMemory(): Promise<string[]> {
  const folder = mkdtempSync(join(tmpdir(), 'bathkeeper-bench-'));
  const controller = await startProcess(folder, ['--speed', '300']);
  try {
    await controller.pair();
    await controller.command({ kind: 'start-cook', cookId: 'hut-supper', name: 'Hut supper', setpointC: 68 });
    const bag = { cutId: 'lamb-shoulder', beta: 0.7, thicknessMm: 60, massKg: 1.2, startC: 5 };
    for (const bagId of ['lamb-1', 'lamb-2', 'neck']) {
      await controller.command({ kind: 'bag-in', bag: { ...bag, bagId, label: bagId } });
    }
    const sequence = async () =>
      ((await (await controller.get('/api/health')).json()) as { sequence: number }).sequence;
    const begin = await sequence();
    await until(async () => (await sequence()) > begin + 2 * 3600, controller.output);
    const pid = controller.child.pid ?? 0;
    const rss = rssMb(pid);
    return [
      `memory of the controller after 2 h of cook: ${rss.toFixed(0)} MB resident; baseline bare node ${baselineMb().toFixed(0)} MB, ratio ${(rss / baselineMb()).toFixed(1)}`,
    ];
  } finally {
    await controller.stop();
    rmSync(folder, { recursive: true, force: true });
  }
}

function rssMb(pid: number): number {
  const line = /VmRSS:\s+(\d+) kB/.exec(readFileSync(`/proc/${pid}/status`, 'utf8'));
  return Number(line?.[1] ?? Number.NaN) / 1024;
}

let bare: number | null = null;
function baselineMb(): number {
  if (bare !== null) return bare;
  const out = execFileSync(process.execPath, ['-e', 'console.log(process.memoryUsage.rss())'], {
    encoding: 'utf8',
  });
  bare = Number(out) / 1024 / 1024;
  return bare;
}

import { readFileSync } from 'node:fs';
import { usbBench } from '../hardware/rig-usb-bench.ts';

const ROUNDS = 20;
const PAUSE_MS = 260;
/** A lease must be answered well within the tick that sent it, and a status be fresh when the next tick looks. */
const TARGET_MS = 250;

/**
 * The board behind its process on a pseudo-terminal, in real time. Named baseline: the 250 ms between two statuses, by
 * which everything the controller knows of the board is old anyway.
 */
export async function benchRig(): Promise<string[]> {
  const bench = await usbBench();
  const { host } = bench;
  try {
    await bench.until(() => (host.view()?.status?.blocks ?? 1) === 0);
    const pid = host.state().pid ?? 0;
    const before = cpuS(pid);
    const begun = performance.now();
    const leases = await roundTrips(bench);
    const ages = await statusAges(bench);
    const cpu = (cpuS(pid) - before) / ((performance.now() - begun) / 1000);
    return [
      `lease to answer: p50 ${at(leases, 0.5)} ms, p99 ${at(leases, 0.99)} ms (target ${TARGET_MS}; baseline 250 ms between statuses)`,
      `age of the probe's reading when looked at: p50 ${at(ages, 0.5)} ms, p99 ${at(ages, 0.99)} ms (baseline 1000 ms between conversions)`,
      `the child: ${(cpu * 100).toFixed(1)} % of one core, ${residentMB(pid)} MB resident`,
    ];
  } finally {
    await bench.close();
  }
}

async function roundTrips({ host, until }: Awaited<ReturnType<typeof usbBench>>): Promise<number[]> {
  const times: number[] = [];
  let lastNonce = -1;
  for (let round = 0; round < ROUNDS; round++) {
    await until(() => {
      const status = host.view()?.status;
      return status !== null && status !== undefined && status.nonce !== lastNonce;
    });
    const nonce = host.view()!.status!.nonce;
    lastNonce = nonce;
    const tag = 100 + round;
    const sentMs = performance.now();
    host.send({ kind: 'lease', tag, nonce, ms: 1600, regulating: true, guard: true });
    await until(() => host.view()?.answer?.tag === tag, 5000);
    times.push(performance.now() - sentMs);
    await new Promise((resolve) => setTimeout(resolve, PAUSE_MS));
  }
  host.send({ kind: 'release' });
  return times;
}

async function statusAges({ host }: Awaited<ReturnType<typeof usbBench>>): Promise<number[]> {
  const ages: number[] = [];
  for (let look = 0; look < 50; look++) {
    const probe = host.view()?.probes[0];
    if (probe) ages.push(performance.now() - probe.arrivedMs);
    await new Promise((resolve) => setTimeout(resolve, 97));
  }
  return ages;
}

function at(values: readonly number[], share: number): string {
  const sorted = [...values].sort((a, b) => a - b);
  return (sorted[Math.min(sorted.length - 1, Math.floor(share * sorted.length))] ?? Number.NaN).toFixed(0);
}

/** Processor time of a process so far, s. Linux only: elsewhere 0. */
function cpuS(pid: number): number {
  try {
    const fields = readFileSync(`/proc/${pid}/stat`, 'utf8').split(') ')[1]!.split(' ');
    // Fields 14 and 15 of proc(5), in ticks of 10 ms.
    return (Number(fields[11]) + Number(fields[12])) / 100;
  } catch {
    return 0;
  }
}

function residentMB(pid: number): string {
  try {
    const kB = /VmRSS:\s+(\d+)/.exec(readFileSync(`/proc/${pid}/status`, 'utf8'))?.[1];
    return (Number(kB) / 1000).toFixed(0);
  } catch {
    return 'unknown';
  }
}

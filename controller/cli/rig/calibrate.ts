import type { Calibration, CalibrationPoint } from '../../../shared/wire/calibration.ts';
import { calibrationFrom } from '../../rig/calibrate/fit.ts';
import type { SensorPart } from '../../rig/calibrate/part.ts';
import { SETTLE_READINGS, settled } from '../../rig/calibrate/settle.ts';
import type { CliIo } from '../io.ts';
import type { RigBench } from './bench.ts';
import type { RigFlags } from './flags.ts';
import type { PointFlags } from './point-flags.ts';
import { joinPoints } from './points.ts';

/** Slush as well as a kitchen makes it. Common practice, no source. */
const ICE_LIMIT_C = 0.1;
const MOST_MS = 15 * 60_000;

/**
 * Takes one point with a probe at rest and makes a calibration of it and those taken before.
 * @param rom the probe's ROM, or its pin where it is an analogue one
 * @throws Error in words, where the points make none
 */
export async function calibrateProbe(
  bench: RigBench,
  rom: string,
  flags: RigFlags & { readonly point: PointFlags },
  before: Calibration | null,
  part: SensorPart,
  io: CliIo,
): Promise<Calibration> {
  const rest = await atRest(bench, rom, 2 * part.quantumC, io);
  const read = { readC: rest.readC, readings: rest.readings, spreadC: rest.spreadC };
  const point: CalibrationPoint =
    flags.point.kind === 'ice'
      ? { ...flags.point, ...read, limitC: ICE_LIMIT_C }
      : { ...flags.point, ...read };
  const { points, calibratedAt, note } = joinPoints(before, point, Date.now());
  if (note !== null) io.err(`${note}\n`);
  const result = calibrationFrom({ rom, calibratedAt, by: flags.by, points }, part);
  if (result.ok) return result.calibration;
  throw new Error(result.faults.map((fault) => fault.text).join('\n'));
}

async function atRest(
  bench: RigBench,
  rom: string,
  stepC: number,
  io: CliIo,
): Promise<Extract<ReturnType<typeof settled>, { ok: true }>> {
  const readings: number[] = [];
  let sequence = -1;
  let told = '';
  for (const endMs = bench.nowMs() + MOST_MS; bench.nowMs() < endMs; ) {
    await bench.pass(100);
    const probe = bench.view()?.probes.find((one) => one.rom === rom);
    if (!probe || probe.sequence === sequence) continue;
    sequence = probe.sequence;
    // A bad reading in between begins the wait anew.
    if (probe.celsius === null) readings.length = 0;
    else readings.push(probe.celsius);
    const rest = settled(readings.slice(-SETTLE_READINGS), stepC);
    if (rest.ok) return rest;
    if (rest.why !== told && readings.length % 10 === 0) {
      told = rest.why;
      io.err(`${told}\n`);
    }
  }
  throw new Error(
    `The probe ${rom} did not come to rest in ${MOST_MS / 60_000} minutes. Stir, and keep it still.`,
  );
}

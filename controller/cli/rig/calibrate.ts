import type { Calibration, CalibrationPoint } from '../../../shared/wire/calibration.ts';
import { calibrationFrom } from '../../rig/calibrate/fit.ts';
import { SETTLE_READINGS, settled } from '../../rig/calibrate/settle.ts';
import type { CliIo } from '../io.ts';
import type { RigBench } from './bench.ts';
import type { RigFlags } from './flags.ts';

const MOST_MS = 15 * 60_000;

/** Takes one point with a probe at rest and makes a calibration of it and those taken before. @throws Error in words */
export async function calibrateProbe(
  bench: RigBench,
  rom: string,
  flags: RigFlags,
  before: Calibration | null,
  io: CliIo,
): Promise<Calibration> {
  const rest = await atRest(bench, rom, io);
  const read = { readC: rest.readC, readings: rest.readings, spreadC: rest.spreadC };
  const { reference } = flags;
  const point: CalibrationPoint = reference
    ? {
        kind: 'reference',
        ...read,
        referenceC: reference.celsius,
        limitC: reference.limitC,
        instrument: reference.instrument,
      }
    : { kind: 'ice', ...read, limitC: 0.1 };
  // A point of the same kind takes the place of the one before.
  const kept = before?.points.filter((one) => one.kind !== point.kind) ?? [];
  const result = calibrationFrom({
    rom,
    calibratedAt: new Date().toISOString(),
    by: flags.by,
    points: [...kept, point],
  });
  if (result.ok) return result.calibration;
  throw new Error(result.faults.map((fault) => fault.text).join('\n'));
}

async function atRest(
  bench: RigBench,
  rom: string,
  io: CliIo,
): Promise<Extract<ReturnType<typeof settled>, { ok: true }>> {
  const readings: number[] = [];
  let sequence = -1;
  let told = '';
  for (const endMs = bench.nowMs() + MOST_MS; bench.nowMs() < endMs; ) {
    await bench.pass(200);
    const probe = bench.view()?.probes.find((one) => one.rom === rom);
    if (!probe || probe.sequence === sequence) continue;
    sequence = probe.sequence;
    // A bad reading in between begins the wait anew.
    if (probe.celsius === null) readings.length = 0;
    else readings.push(probe.celsius);
    const rest = settled(readings.slice(-SETTLE_READINGS));
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

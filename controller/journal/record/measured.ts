import type { Gap } from '../../../shared/wire/export.ts';
import type { BagSample, Sample } from '../../../shared/wire/rows.ts';
import { type ExportPoint, gapsOf, samplePages } from '../export.ts';
import type { JournalReader } from '../reader.ts';

/** One minute of the chart. */
export interface Minute {
  readonly startMs: number;
  minC: number | null;
  maxC: number | null;
  setpointC: number | null;
  bags: readonly BagSample[];
}

/** Ticks in a row whose wall clock was not trusted. */
export interface Untrusted {
  readonly fromSequence: number;
  throughSequence: number;
  readonly fromMs: number;
  toMs: number;
  ticks: number;
}

/** So many stretches are told one by one: a clock that comes and goes for days must not fill the memory. */
const SPANS_MAX = 200;

/** What the samples and inputs of a cook come to. */
export interface Measured {
  readonly samples: number;
  readonly valid: number;
  readonly minC: number | null;
  readonly meanC: number | null;
  readonly maxC: number | null;
  readonly firstMs: number | null;
  readonly lastMs: number | null;
  /** The last estimate of each bag. */
  readonly lastOf: ReadonlyMap<string, BagSample>;
  readonly minutes: readonly Minute[];
  readonly gaps: readonly Gap[];
  /** Ticks whose wall clock was not trusted. */
  readonly untrusted: number;
  /** When that was; the first of them. */
  readonly untrustedSpans: readonly Untrusted[];
  /** How often the bath probe gave each quality. */
  readonly qualities: ReadonlyMap<string, number>;
}

/** Goes once through a cook's samples and once through its inputs; holds a minute's summary of each, not the rows. */
export async function measuredOf(
  reader: JournalReader,
  cookId: string,
  point: ExportPoint,
): Promise<Measured> {
  const gapFinder = gapsOf(reader, point.detail);
  const minutes: Minute[] = [];
  const lastOf = new Map<string, BagSample>();
  const seen = { samples: 0, valid: 0, sumC: 0, minC: Infinity, maxC: -Infinity };
  let firstMs: number | null = null;
  let lastMs: number | null = null;
  for await (const page of samplePages(reader, cookId, point.throughSequence)) {
    for (const sample of page) {
      await gapFinder.add(sample);
      firstMs ??= sample.wallMs;
      lastMs = sample.wallMs;
      seen.samples += 1;
      for (const bag of sample.bags) lastOf.set(bag.bagId, bag);
      addToMinute(minutes, sample);
      if (sample.bathC === null) continue;
      seen.valid += 1;
      seen.sumC += sample.bathC;
      seen.minC = Math.min(seen.minC, sample.bathC);
      seen.maxC = Math.max(seen.maxC, sample.bathC);
    }
  }
  const { samples, valid } = seen;
  const known = (value: number) => (valid > 0 ? value : null);
  const range = { minC: known(seen.minC), meanC: known(seen.sumC / valid), maxC: known(seen.maxC) };
  const told = await inputsOf(reader, cookId, point.throughSequence);
  return { samples, valid, ...range, firstMs, lastMs, lastOf, minutes, gaps: await gapFinder.end(), ...told };
}

function addToMinute(minutes: Minute[], { wallMs, bathC, setpointC, bags }: Sample): void {
  const startMs = Math.floor(wallMs / 60_000) * 60_000;
  let minute = minutes.at(-1);
  if (minute?.startMs !== startMs) {
    minute = { startMs, minC: null, maxC: null, setpointC, bags };
    minutes.push(minute);
  }
  if (bathC !== null) {
    minute.minC = Math.min(minute.minC ?? bathC, bathC);
    minute.maxC = Math.max(minute.maxC ?? bathC, bathC);
  }
  minute.setpointC = setpointC;
  minute.bags = bags;
}

async function inputsOf(reader: JournalReader, cookId: string, through: number) {
  let untrusted = 0;
  let open: Untrusted | null = null;
  const untrustedSpans: Untrusted[] = [];
  const qualities = new Map<string, number>();
  for await (const { sequence, wallMs, wallTrusted, readings } of reader.inputs(cookId)) {
    if (sequence > through) break;
    qualities.set(readings.bath.quality, (qualities.get(readings.bath.quality) ?? 0) + 1);
    if (wallTrusted) {
      open = null;
      continue;
    }
    untrusted += 1;
    if (open === null) {
      open = { fromSequence: sequence, throughSequence: sequence, fromMs: wallMs, toMs: wallMs, ticks: 0 };
      if (untrustedSpans.length < SPANS_MAX) untrustedSpans.push(open);
    }
    open.throughSequence = sequence;
    open.toMs = wallMs;
    open.ticks += 1;
  }
  return { untrusted, untrustedSpans, qualities };
}

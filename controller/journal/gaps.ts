import type { Gap } from '../../shared/wire/export.ts';
import type { Sample } from '../../shared/wire/rows.ts';
import type { TickInput } from '../../shared/wire/tick.ts';

/** Ticks follow one another in one second; what is nearer than this to the next is no gap, in ms. */
const LATE_MS = 2500;
/** Nor is it a step of the wall clock, when that differs from the steady one by less than this, in ms. */
const STEP_MS = 1500;

/** A probe that fails every other second for days must not fill the memory with its gaps. */
const GAPS_MAX = 10_000;

type InputAt = (sequence: number) => Promise<TickInput | null>;

/** A stretch without a valid reading that has not ended yet. */
interface Silence {
  readonly before: Sample | null;
  readonly first: Sample;
}

/**
 * Finds where the samples of a cook do not follow one another, as they stream by. The whole inputs are
 * asked for only where something looks wrong, for they tell a restart, a late tick and a clock that was
 * set apart. `add` the samples in order, then `end`.
 */
export class GapFinder {
  readonly #inputAt: InputAt;
  readonly #runEnds: ReadonlySet<number>;
  readonly #gaps: Gap[] = [];
  #last: Sample | null = null;
  #silence: Silence | null = null;

  /** `runEnds` are the sequences after which the controller was started anew. */
  constructor(inputAt: InputAt, runEnds: Iterable<number>) {
    this.#inputAt = inputAt;
    this.#runEnds = new Set(runEnds);
  }

  async add(sample: Sample): Promise<void> {
    const last = this.#last;
    if (last && (suspicious(last, sample) || this.#runEnds.has(last.sequence))) {
      const gap = await this.#between(last, sample);
      if (gap) this.#keep(gap);
    }
    if (sample.bathC === null) this.#silence ??= { before: last, first: sample };
    else await this.#endSilence(sample);
    this.#last = sample;
  }

  /** Closes a stretch without readings that lasts to the end. */
  async end(): Promise<readonly Gap[]> {
    if (this.#last) await this.#endSilence(this.#last);
    return this.#gaps;
  }

  async #endSilence(after: Sample): Promise<void> {
    const silence = this.#silence;
    if (!silence) return;
    this.#silence = null;
    const input = await this.#inputAt(silence.first.sequence);
    const quality = input?.readings.bath.quality ?? 'unknown';
    this.#keep({
      kind: 'no-reading',
      ...ends(silence.before ?? silence.first, after),
      wallTrusted: input?.wallTrusted ?? false,
      reason: `the bath probe gave no valid reading (${quality})`,
    });
  }

  async #between(last: Sample, sample: Sample): Promise<Gap | null> {
    const before = await this.#inputAt(last.sequence);
    const after = await this.#inputAt(sample.sequence);
    const found = { ...ends(last, sample), wallTrusted: !!before?.wallTrusted && !!after?.wallTrusted };
    const missing = sample.sequence - last.sequence - 1;
    if (missing > 0) {
      return { kind: 'not-recorded', ...found, reason: `${missing} ticks are not in the log` };
    }
    if (!before || !after) return null;
    const steadyMs = after.monotonicMs - before.monotonicMs;
    // The steady clock may begin anew with each start of the controller, so across one it tells nothing.
    if (this.#runEnds.has(last.sequence)) {
      return { kind: 'away', ...found, reason: 'the controller was not running' };
    }
    const wallMs = sample.wallMs - last.wallMs;
    if (steadyMs > LATE_MS) {
      const reason = `the controller ran, but its next tick came after ${steadyMs / 1000} s`;
      return { kind: 'missed-ticks', ...found, reason };
    }
    if (Math.abs(wallMs - steadyMs) < STEP_MS) return null;
    const reason = `the wall clock was set by ${(wallMs - steadyMs) / 1000} s; nothing is missing`;
    return { kind: 'clock-step', ...found, reason };
  }

  #keep(gap: Gap): void {
    if (this.#gaps.length < GAPS_MAX - 1) this.#gaps.push(gap);
    else if (this.#gaps.length < GAPS_MAX) {
      const reason = `${gap.reason}; later gaps are not listed one by one, the samples show them`;
      this.#gaps.push({ ...gap, reason });
    }
  }
}

function suspicious(last: Sample, sample: Sample): boolean {
  const wallMs = sample.wallMs - last.wallMs;
  return sample.sequence !== last.sequence + 1 || wallMs < 0 || wallMs > Math.min(LATE_MS, STEP_MS);
}

function ends(
  before: Sample,
  after: Sample,
): Pick<Gap, 'fromMs' | 'toMs' | 'afterSequence' | 'beforeSequence'> {
  return {
    fromMs: before.wallMs,
    toMs: after.wallMs,
    afterSequence: before.sequence,
    beforeSequence: after.sequence,
  };
}

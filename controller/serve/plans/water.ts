import { thinRows, type WaterRow } from '../../../shared/plan/water-log.ts';
import type { Sample } from '../../../shared/wire/rows.ts';
import type { JournalReader } from '../../journal/reader.ts';

/** Rows kept no closer together than this, ms. */
const APART_MS = 10_000;
/** Beyond so many rows those on a straight line are dropped. */
const ROWS_MOST = 1500;
/** Buckets of the log that the past is taken from after a restart, s. */
const PAST_S = 60;

/** The water of one cook as it was measured, bounded however long the cook. */
export class WaterLog {
  #rows: WaterRow[] = [];

  /** The rows so far, in order of time. */
  rows(): readonly WaterRow[] {
    return this.#rows;
  }

  /** Takes in what was committed. Readings that are none leave a gap, which the forecast does not count. */
  take(samples: readonly Sample[]): void {
    for (const { wallMs, bathC } of samples) {
      const last = this.#rows.at(-1);
      if (bathC === null || (last && wallMs - last.atMs < APART_MS)) continue;
      this.#rows.push({ atMs: wallMs, celsius: bathC });
    }
    if (this.#rows.length > ROWS_MOST) this.#rows = thinRows(this.#rows);
  }

  /** Puts before the rows what the log has of the cook's past. */
  async recall(reader: JournalReader, cookId: string, beforeMs: number): Promise<void> {
    const buckets = await reader.tiers(cookId, PAST_S, 0, beforeMs);
    const past = buckets.flatMap(({ startMs, meanC }) =>
      meanC === null ? [] : [{ atMs: startMs + (PAST_S * 1000) / 2, celsius: meanC }],
    );
    const first = this.#rows[0]?.atMs ?? Number.POSITIVE_INFINITY;
    this.#rows = [...past.filter((row) => row.atMs < first - APART_MS), ...this.#rows];
    if (this.#rows.length > ROWS_MOST) this.#rows = thinRows(this.#rows);
  }
}

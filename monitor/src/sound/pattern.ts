import type { Priority } from '../../../shared/wire/alarm.ts';

export interface Pulse {
  /** Seconds from the start of the burst. */
  readonly atS: number;
  readonly lengthS: number;
  readonly hertz: number;
}

export interface Burst {
  readonly pulses: readonly Pulse[];
  /** Seconds from the start of one burst to the start of the next. */
  readonly everyS: number;
}

const pulses = (starts: readonly number[], lengthS: number, hertz: number): Pulse[] =>
  starts.map((atS) => ({ atS, lengthS, hertz }));

/**
 * One burst a priority, told apart by rhythm and not by pitch alone: ten quick pulses in groups of 3 and 2
 * twice over, three slower ones, one. The rhythm follows IEC 60601-1-8 as a pattern (from memory); no claim
 * of compliance.
 */
export const BURSTS: Record<Priority, Burst> = {
  high: { pulses: pulses([0, 0.2, 0.4, 0.8, 1.0, 1.7, 1.9, 2.1, 2.5, 2.7], 0.14, 740), everyS: 5 },
  medium: { pulses: pulses([0, 0.4, 0.8], 0.2, 560), everyS: 10 },
  low: { pulses: pulses([0], 0.25, 420), everyS: 25 },
};

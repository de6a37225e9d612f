import type { OutageChoice } from '../../../shared/wire/command.ts';
import type { LostLog } from '../../../shared/wire/tick.ts';

/** What was known of the water when the controller went. */
export interface Before {
  /** Water at the last reading, degC, and the rise that heat still on its way to it would have made. */
  readonly waterC: number;
  readonly underwayC: number;
  readonly roomC: number;
  /** Seconds from the last reading to the last tick. */
  readonly unreadS: number;
  /** Setpoint then; null where no heat was asked for. */
  readonly setpointC: number | null;
}

/** How long the water takes to fall as it did, by the identified loss, s. Null = longer than anybody reckons with. */
export interface CoolingTime {
  /** With the lid on: likely, and the interval about it. */
  readonly middleS: number;
  readonly lowS: number;
  readonly highS: number | null;
  /** With the lid off all the while. */
  readonly lidOffS: number;
  /** The rig had been identified: otherwise these are no more than its description, widened. */
  readonly identified: boolean;
}

/** How the two ways of telling the length fit together. */
export type Verdict = 'agree' | 'clock-longer' | 'cooling-longer' | 'clock-only' | 'cooling-only' | 'unknown';

/** How long nobody watched, s. */
export interface OutageLength {
  readonly verdict: Verdict;
  /** What counts. */
  readonly countsS: number;
  /** The interval that holds the true length. */
  readonly lowS: number;
  readonly highS: number;
  /** Shortest for what is credited, longest for what is held against the food. */
  readonly leastS: number;
  readonly mostS: number;
  readonly clockS: number | null;
  readonly cooling: CoolingTime | null;
}

/** A person's decision about one bag. */
export interface OutageDecision {
  readonly choice: OutageChoice;
  /** The name that was given. */
  readonly name: string;
  readonly by: string;
  readonly atMs: number;
  readonly note: string;
}

/** What happened to one bag, and what was decided. */
export interface OutageBag {
  readonly bagId: string;
  /** Core before and after, degC: coldest, middle, hottest. */
  readonly beforeC: readonly [number, number, number];
  readonly afterC: readonly [number, number, number];
  /** Growth of C. perfringens in the worst case before and after, log10; lethality in the slowest case likewise. */
  readonly growth: readonly [before: number, after: number];
  readonly lethality: readonly [before: number, after: number];
  /** Its lethality standard had been met before. */
  readonly met: boolean;
  /** Words of the limits that were broken in the outage, and of those broken before. */
  readonly broken: readonly string[];
  readonly brokenBefore: readonly string[];
  readonly decision: OutageDecision | null;
}

/** A power cut, from the restart until every bag has been decided on. Plain data. */
export interface OutageState {
  readonly phase: 'mixing' | 'known';
  readonly sinceMs: number;
  readonly restartMs: number;
  readonly clockS: number | null;
  /** By so much the tick's own clock has gone on for it so far, s. */
  readonly movedS: number;
  readonly before: Before;
  /** A probe measures the room. */
  readonly roomKnown: boolean;
  /** Seconds since the restart, and those with a valid reading. */
  readonly waitedS: number;
  readonly mixedS: number;
  /** Sum and number of the readings of the second minute, degC. */
  readonly sumC: number;
  readonly readings: number;
  readonly log: LostLog | null;
  readonly length: OutageLength | null;
  readonly afterC: number | null;
  /** For how long the water was below the hot-holding limit, s: at least, likely, at most. */
  readonly belowHotS: readonly [number, number, number];
  readonly bags: readonly OutageBag[];
  /** An earlier power cut that people had not decided on when this one came; a short restart gives it back. */
  readonly open: OutageState | null;
}

import type { AlarmId, AlarmView, Priority } from '../../shared/wire/alarm.ts';
import type { QuietHours, ReachConfig } from '../../shared/wire/reach.ts';
import type { DeliveryRow } from '../../shared/wire/reach-view.ts';
import type { AlarmRow } from '../../shared/wire/record.ts';
import { isQuiet } from './quiet.ts';
import type { Channel, Roster } from './roster.ts';
import type { ReachState } from './state.ts';

/** How calling behaves: the configuration in the units of the plan. */
export interface Rules {
  readonly kitchen: string;
  readonly zone: string;
  readonly quietHours: QuietHours | null;
  readonly escalateMs: Readonly<Record<Priority, number | null>>;
  readonly reannounceMs: Readonly<Record<Priority, number | null>>;
  readonly silenceMs: number;
  readonly tellWhenOver: boolean;
  readonly pageUrl: string | null;
}

/** Rules of a checked configuration. `machineZone` is the zone of this machine, for where none is given. */
export function rulesOf(config: ReachConfig, kitchen: string, machineZone: string): Rules {
  const ms = (minutes: number | null) => (minutes === null ? null : minutes * 60_000);
  const each = (by: Record<Priority, number | null>) => ({
    high: ms(by.high),
    medium: ms(by.medium),
    low: ms(by.low),
  });
  return {
    kitchen,
    zone: config.timeZone ?? machineZone,
    quietHours: config.quietHours,
    escalateMs: each(config.escalateAfterMin),
    reannounceMs: each(config.reannounceAfterMin),
    silenceMs: config.silenceMin * 60_000,
    tellWhenOver: config.tellWhenOver,
    pageUrl: config.pageUrl,
  };
}

/** Something that is looked after at intervals, whether or not an alarm stands. */
export interface Duty {
  readonly label: string;
  readonly everyMs: number;
  /** Sooner than that after a failure. */
  readonly againMs: number;
  /** True where it does the very thing (a heartbeat), false where it only tries the way. */
  readonly proves: boolean;
}

/** What stays the same while the controller runs. */
export interface Parts {
  readonly roster: Roster;
  readonly rules: Rules;
  readonly duties: ReadonlyMap<string, Duty>;
}

/** How an attempt ended. `at`: no connection came about, or the other end said no, or nothing, once there was one. */
export type Outcome =
  | { readonly ok: true; readonly detail: string }
  | {
      readonly ok: false;
      readonly permanent: boolean;
      readonly at: 'connect' | 'answer';
      readonly why: string;
      readonly retryAfterMs: number | null;
    };

/** What came back for an attempt at a letter or for a duty. */
export type Result =
  | { readonly of: 'letter'; readonly letterId: number; readonly attempt: number; readonly outcome: Outcome }
  | { readonly of: 'duty'; readonly channelId: string; readonly outcome: Outcome };

/** All that one step of the plan may know. */
export interface PlanInput {
  /** A clock that only runs forward. */
  readonly clockMs: number;
  readonly wallMs: number;
  readonly wallTrusted: boolean;
  /** The alarms as they stand, or null where there is no news of them. */
  readonly standing: readonly AlarmView[] | null;
  /** Changes of state since the last step, oldest first. */
  readonly rows: readonly AlarmRow[];
  readonly results: readonly Result[];
  /** Open pages; null where nobody counts them. */
  readonly viewers: number | null;
}

type Mutable<T> = { -readonly [K in keyof T]: T[K] };

/** One step in the making: fields of `next` are replaced, never written into. */
export interface Work {
  readonly next: Mutable<ReachState>;
  readonly input: PlanInput;
  readonly parts: Parts;
  readonly rows: DeliveryRow[];
}

type RowDraft = Pick<DeliveryRow, 'about' | 'channelId' | 'channel' | 'outcome' | 'detail'> & {
  readonly alarmIds?: readonly AlarmId[];
  readonly person?: { readonly id: string; readonly name: string };
  readonly attempt?: number;
};

/** Adds a line to the delivery log. */
export function note(work: Work, draft: RowDraft): void {
  const { next, input } = work;
  const row: DeliveryRow = {
    row: next.nextRow,
    wallMs: input.wallMs,
    about: draft.about,
    alarmIds: [...(draft.alarmIds ?? [])],
    personId: draft.person?.id ?? null,
    person: draft.person?.name ?? null,
    channelId: draft.channelId,
    channel: draft.channel,
    attempt: draft.attempt ?? 0,
    outcome: draft.outcome,
    detail: draft.detail,
  };
  next.nextRow += 1;
  work.rows.push(row);
}

/** Who a channel leads to, for the log. */
export const personOf = (channel: Channel) => ({ id: channel.personId, name: channel.personName });

/**
 * Whether quiet hours hold a priority back. Never high, and never by a clock that may be wrong: it would be a guess
 * whether anybody sleeps.
 */
export function heldByQuiet(work: Work, hours: QuietHours | null, priority: Priority): boolean {
  const { input, parts } = work;
  return priority !== 'high' && input.wallTrusted && isQuiet(hours, parts.rules.zone, input.wallMs);
}

const RANK: Readonly<Record<Priority, number>> = { low: 0, medium: 1, high: 2 };

/** Above zero where `a` is the higher priority. */
export const comparePriority = (a: Priority, b: Priority): number => RANK[a] - RANK[b];

/** The highest of some priorities; low for none. */
export const highest = (priorities: readonly Priority[]): Priority =>
  priorities.reduce((a, b) => (comparePriority(b, a) > 0 ? b : a), 'low');

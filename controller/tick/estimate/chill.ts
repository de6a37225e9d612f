import {
  type ChillRecord,
  chillBreach,
  judgeChill,
  leaveHeat,
  withReading,
} from '../../../shared/hazard/chill-record.ts';
import type { LegStatus } from '../../../shared/hazard/cooling.ts';
import { COOLING_GROWTH_LIMIT_LOG10 } from '../../../shared/hazard/growth.ts';
import { type Breach, coolingResults } from '../../../shared/hazard/limits.ts';
import { type LimitProfile, limitProfile } from '../../../shared/hazard/profiles.ts';
import { type StorageAdvice, storageAdvice } from '../../../shared/hazard/storage.ts';
import { trackResult } from '../../../shared/hazard/track-view.ts';
import type { ChillMethod, ChillOutcome } from '../../../shared/wire/command.ts';
import type { ChillView } from '../../../shared/wire/status.ts';
import type { BagTrack } from '../state.ts';
import { type BagEstimate, breachCount, metAtS } from './bag.ts';

/** Readings kept of one bag; where there are more, the oldest goes, which makes the record stricter. */
const MOST_READINGS = 96;

/** Who read the core while it cooled, and when by the wall clock. */
export interface ReadBy {
  readonly atMs: number;
  readonly celsius: number;
  readonly errorC: number;
  readonly by: string;
}

/** What became of a chilled bag. */
export interface ChillEnd {
  readonly atMs: number;
  readonly atS: number;
  readonly outcome: ChillOutcome;
  readonly fridge: { readonly maxC: number; readonly recorded: boolean } | null;
  readonly writtenPlan: boolean;
  readonly rawGarlicOrHerbsInOil: boolean;
}

/** The cooling of one bag: the record it is judged by (seconds since it went in), and the same for people. Plain data. */
export interface BagChill {
  readonly method: ChillMethod;
  readonly startedAtMs: number;
  readonly record: ChillRecord;
  readonly readings: readonly ReadBy[];
  readonly end: ChillEnd | null;
}

/** A bag that has just been taken out to chill. */
export function beginChill(bag: BagTrack, method: ChillMethod): BagTrack {
  const { lowC, highC } = bag.estimate.core;
  const startS = (bag.outAtS ?? bag.inAtS) - bag.inAtS;
  const record: ChillRecord = { startS, lowC, highC, readings: [] };
  const track = judgeChill(leaveHeat(bag.estimate.track), record);
  return {
    ...bag,
    estimate: { ...bag.estimate, track },
    chill: { method, startedAtMs: bag.outAtMs ?? bag.inAtMs, record, readings: [], end: null },
  };
}

/** True while somebody still has to say what became of it. */
export function isChilling({ chill }: Pick<BagTrack, 'chill'>): boolean {
  return chill !== null && chill.end === null;
}

/** The bag with one reading more; `atS` counts from when it went in. */
export function chillReading(bag: BagTrack, chill: BagChill, read: ReadBy, atS: number): BagTrack {
  const all = withReading(chill.record, { atS, celsius: read.celsius, errorC: read.errorC });
  const record = { ...all, readings: all.readings.slice(-MOST_READINGS) };
  const readings = [...chill.readings, read].sort((a, b) => a.atMs - b.atMs).slice(-MOST_READINGS);
  const track = judgeChill(bag.estimate.track, record);
  return { ...bag, estimate: { ...bag.estimate, track }, chill: { ...chill, record, readings } };
}

const profileOf = ({ track }: BagEstimate): LimitProfile => limitProfile(track.setup.profileId);

/** A cooling rule that is broken by now and was not yet known; `clockS` is the tick's. */
export function newChillBreach(bag: BagTrack, clockS: number): Breach | null {
  return chillBreach(profileOf(bag.estimate), bag.estimate.track, judgedS(bag, clockS));
}

/** The bag with a broken limit kept for good. */
export function withBreach(bag: BagTrack, breach: Breach): BagTrack {
  const { track } = bag.estimate;
  const [first, second] = track.worst.limits;
  const limits = [{ ...first, breaches: [...first.breaches, breach] }, second] as const;
  return { ...bag, estimate: { ...bag.estimate, track: { ...track, worst: { ...track.worst, limits } } } };
}

/** Up to when a bag is judged, seconds since it went in: while it is in or chilling now, else when that ended. */
export function judgedS(bag: BagTrack, clockS: number): number {
  if (bag.chill) return (bag.chill.end?.atS ?? clockS) - bag.inAtS;
  return (bag.outAtS ?? clockS) - bag.inAtS;
}

/** Whether the profile's cooling rules were kept: false once broken, true once met, null before. */
export function coolingKept(bag: BagTrack, clockS: number): boolean | null {
  const { worst } = trackResult(bag.estimate.track, judgedS(bag, clockS));
  if (worst.limits.breaches.some(({ limit }) => limit === 'cooling')) return false;
  const rules = worst.limits.cooling ?? [];
  const met = rules.filter(({ status }) => status === 'met').length;
  return (profileOf(bag.estimate).anyCooling ? met > 0 : met === rules.length && met > 0) ? true : null;
}

type Storage = ChillView['storage'];

/** How long the chilled bag may be kept, or why nothing is said. Counted from when it was sealed: when it went in, at the latest. */
export function storageOf(bag: BagTrack, chill: BagChill, clockS: number): Storage {
  const { end } = chill;
  const { limits, growth } = trackResult(bag.estimate.track, judgedS(bag, clockS)).worst;
  const { cooling } = limits;
  const frozen = end?.outcome === 'frozen';
  const advice: StorageAdvice = storageAdvice(profileOf(bag.estimate), {
    cooling,
    cooked: metAtS(bag.estimate) !== null,
    anyBreach: breachCount(bag.estimate) > 0 || growth.coolingLog10 > COOLING_GROWTH_LIMIT_LOG10,
    fridge: frozen ? { maxC: FROZEN_C, recorded: true } : (end?.fridge ?? null),
    hasPlan: end?.writtenPlan ?? false,
    rawGarlicOrHerbsInOil: end?.rawGarlicOrHerbsInOil ?? false,
  });
  const { words, rule, source } = advice;
  const conditions = [...advice.conditions];
  if (end?.outcome === 'served' || end?.outcome === 'discarded') {
    return {
      untilMs: null,
      words: `It was ${end.outcome === 'served' ? 'served' : 'thrown away'}.`,
      conditions: [],
      rule,
      source,
    };
  }
  if (frozen && advice.forS !== null) {
    return {
      untilMs: null,
      words: FROZEN_WORDS,
      conditions: ['label with the product and the date'],
      rule,
      source,
    };
  }
  const untilMs = advice.forS === null ? null : bag.inAtMs + advice.forS * 1000;
  return { untilMs, words, conditions, rule, source };
}

const FROZEN_C = -18;
const FROZEN_WORDS =
  'Frozen in time: no date is set while it stays frozen. Thawed, it counts as chilled food of the day it was sealed.';

/** The cooling of a bag as the page shows it. */
export function chillView(bag: BagTrack, chill: BagChill, clockS: number, wallMs: number): ChillView {
  const wall = (seconds: number) => wallMs - (clockS - bag.inAtS - seconds) * 1000;
  return {
    method: chill.method,
    startedAtMs: chill.startedAtMs,
    readings: chill.readings.map(({ atMs, celsius, by }) => ({ atMs, celsius, by })),
    next: chill.end ? null : nextDue(bag, clockS, wall),
    endedAtMs: chill.end?.atMs ?? null,
    outcome: chill.end?.outcome ?? null,
    storage: storageOf(bag, chill, clockS),
  };
}

/** A reading that a rule asks for: at or under so many C, in so many seconds (below 0 once its time is over). */
export interface Due {
  readonly celsius: number;
  readonly leftS: number;
  readonly rule: string;
}

/** Of each rule that still stands, the leg under way that is due first. Cheap enough for each second. */
function duesOf(bag: BagTrack, clockS: number): Due[] {
  const [{ cooling, breaches }] = bag.estimate.track.worst.limits;
  if (cooling === null || breaches.some(({ limit }) => limit === 'cooling')) return [];
  const profile = profileOf(bag.estimate);
  const results = coolingResults(profile, cooling, judgedS(bag, clockS));
  if (profile.anyCooling && results.some(({ status }) => status === 'met')) return [];
  return results.flatMap((rule) => {
    const open = rule.status === 'broken' ? [] : rule.legs.filter(({ status }) => OPEN.has(status));
    const dues = open.map(({ toC, limitS, elapsedS }) => ({
      celsius: toC,
      leftS: limitS - (elapsedS ?? 0),
      rule: rule.rule,
    }));
    return dues.sort((a, b) => a.leftS - b.leftS).slice(0, 1);
  });
}

const OPEN: ReadonlySet<LegStatus> = new Set(['running', 'overdue'] as const);

/** The reading without which the profile will be broken first; where one rule is enough, the last that may still be kept. */
export function readingDue(bag: BagTrack, clockS: number): Due | null {
  const dues = duesOf(bag, clockS).sort((a, b) => a.leftS - b.leftS);
  return (profileOf(bag.estimate).anyCooling ? dues.at(-1) : dues[0]) ?? null;
}

/** The reading that is due first, for the page. */
function nextDue(bag: BagTrack, clockS: number, wall: (seconds: number) => number): ChillView['next'] {
  const [next] = duesOf(bag, clockS).sort((a, b) => a.leftS - b.leftS);
  if (next === undefined) return null;
  const { celsius, leftS, rule } = next;
  return { celsius, rule, dueAtMs: wall(judgedS(bag, clockS) + leftS) };
}

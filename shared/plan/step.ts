/** Making one step of the timeline. */
import type { Job, Step, StepKind, StepWho } from './types.ts';
import { PRACTICE } from './usual.ts';
import { inNight } from './zone.ts';

/** What a step must have; the rest is filled in. */
export interface StepDraft {
  readonly kind: StepKind;
  readonly key?: string;
  readonly who?: StepWho;
  readonly dishIds: readonly string[];
  readonly title: string;
  readonly atMs: number;
  readonly bandMs?: readonly [number, number] | null;
  readonly amounts?: Step['amounts'];
  readonly how: string;
  readonly why: string;
  readonly source?: string;
  readonly cautions?: readonly string[];
}

/** Completes a step; its id is its kind and what it is about, so that the same step keeps its id when times move. */
export function stepOf(job: Job, draft: StepDraft): Step {
  const atMs = Math.round(draft.atMs);
  return {
    id: draft.key === undefined ? draft.kind : `${draft.kind}-${draft.key}`,
    kind: draft.kind,
    who: draft.who ?? 'person',
    dishIds: draft.dishIds,
    title: draft.title,
    atMs,
    bandMs: draft.bandMs ?? null,
    amounts: draft.amounts ?? {},
    how: draft.how,
    why: draft.why,
    source: draft.source ?? PRACTICE,
    cautions: draft.cautions ?? [],
    night: inNight(atMs, job.night, job.zone),
    done: false,
  };
}

/** Order on the timeline: by time, and what a person does before what happens of itself. */
export function inOrder(steps: readonly Step[]): Step[] {
  const rank = { person: 0, physics: 1, odds: 2 } as const;
  return [...steps].sort((a, b) => a.atMs - b.atMs || rank[a.who] - rank[b.who]);
}

/** A whole number of grams from kilograms, for amounts. */
export const gramsOf = (kg: number) => Math.round(kg * 1000);
/** Rounded so that a person can read it; amounts only. */
export const round = (value: number, digits = 1) => Number(value.toFixed(digits));

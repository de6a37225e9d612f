import { signal } from '@preact/signals';
import { recall, remember } from './memory.ts';

/** Plans of which ticks are kept on this phone. */
const MOST = 12;

type Ticks = Readonly<Record<string, readonly string[]>>;
const ticks = signal<Ticks>(recall<Ticks>('plan-ticks') ?? {});

/** Whether somebody ticked that step on this phone. */
export function ticked(planId: string, stepId: string): boolean {
  return ticks.value[planId]?.includes(stepId) ?? false;
}

/** Ticks a step off, or takes the tick back. */
export function tick(planId: string, stepId: string, on: boolean): void {
  const before = ticks.value[planId] ?? [];
  const after = on ? [...before.filter((id) => id !== stepId), stepId] : before.filter((id) => id !== stepId);
  const { [planId]: _, ...others } = ticks.value;
  ticks.value = Object.fromEntries([...Object.entries(others).slice(-(MOST - 1)), [planId, after]]);
  remember('plan-ticks', ticks.value);
}

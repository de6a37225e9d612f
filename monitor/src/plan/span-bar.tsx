import type { DishPlan } from '../../../shared/plan/types.ts';
import { shortTime } from './when.ts';

interface SpanProps {
  readonly dish: DishPlan;
  readonly zone: string;
  /** Times of this day are told without it. */
  readonly besideMs: number;
}

const percent = (share: number) => `${(100 * Math.min(1, Math.max(0, share))).toFixed(2)}%`;

/** When a dish is likely ready: 10, 50 and 90 in 100 on a bar, with the moment it comes out. */
export function SpanBar({ dish, zone, besideMs }: SpanProps) {
  const { p10Ms, p50Ms, p90Ms } = dish.ready;
  if (p10Ms === null) return <span class="plan-band">Not within the days that can be foreseen.</span>;
  const endMs = p90Ms ?? Math.max(dish.outMs, p50Ms ?? 0) + 6 * 3_600_000;
  const fromMs = Math.min(p10Ms, dish.outMs);
  const toMs = Math.max(endMs, dish.outMs);
  const wide = Math.max(1, toMs - fromMs);
  const left = (ms: number) => percent((ms - fromMs) / wide);
  const points = [
    { name: '10 in 100', ms: p10Ms },
    { name: '50 in 100', ms: p50Ms },
    { name: '90 in 100', ms: p90Ms },
  ];
  return (
    <span
      class="plan-span"
      data-test="plan-span"
      data-p10={p10Ms}
      data-p50={p50Ms ?? ''}
      data-p90={p90Ms ?? ''}
    >
      <span class="plan-span-bar" aria-hidden="true">
        <span class="plan-span-fill" style={{ left: left(p10Ms), width: percent((endMs - p10Ms) / wide) }} />
        {p50Ms === null ? null : <span class="plan-span-middle" style={{ left: left(p50Ms) }} />}
        <span class="plan-span-out" style={{ left: left(dish.outMs) }} />
      </span>
      <span class="plan-span-words">
        {points.map(({ name, ms }) => (
          <span key={name}>
            <small>{name}</small>
            <b>{ms === null ? 'later' : shortTime(ms, besideMs, zone)}</b>
          </span>
        ))}
      </span>
      {dish.ready.spanRatio === null ? null : (
        <small class="plan-span-ratio">
          The span is {dish.ready.spanRatio.toFixed(2)} times the middle; dashed: out of the bath.
        </small>
      )}
    </span>
  );
}

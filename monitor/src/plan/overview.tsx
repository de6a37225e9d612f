import type { DishPlan, Plan } from '../../../shared/plan/types.ts';
import { clockText, inNight } from '../../../shared/plan/zone.ts';

const HOUR_MS = 3_600_000;
const percent = (share: number) => `${(100 * Math.min(1, Math.max(0, share))).toFixed(2)}%`;

interface Piece {
  readonly kind: 'cure' | 'heat' | 'bath' | 'cold' | 'table' | 'ready';
  readonly fromMs: number;
  readonly toMs: number;
  readonly word: string;
}

/** What a dish goes through, as stretches of time. */
function piecesOf(plan: Plan, dish: DishPlan): Piece[] {
  const at = (kind: string) =>
    plan.steps.find((step) => step.kind === kind && step.dishIds.includes(dish.dishId))?.atMs ?? null;
  const cure = at('cure');
  const on = plan.steps.find((step) => step.id === 'bath-on')?.atMs ?? null;
  const first = plan.dishes.reduce((a, b) => (b.foodInMs < a.foodInMs ? b : a));
  const reheat = at('reheat');
  const pieces: (Piece | null)[] = [
    cure === null ? null : { kind: 'cure', fromMs: cure, toMs: at('bag') ?? dish.foodInMs, word: 'in salt' },
    on === null || dish !== first ? null : { kind: 'heat', fromMs: on, toMs: dish.foodInMs, word: 'heat' },
    { kind: 'bath', fromMs: dish.foodInMs, toMs: dish.outMs, word: 'in the bath' },
    reheat === null ? null : { kind: 'cold', fromMs: dish.outMs, toMs: reheat, word: 'cold' },
    { kind: 'table', fromMs: reheat ?? dish.outMs, toMs: plan.serveByMs, word: '' },
  ];
  return pieces.filter((piece): piece is Piece => piece !== null && piece.toMs > piece.fromMs);
}

/** Stretches of the night within a window, by the quarter of an hour. */
function nightsOf(plan: Plan, fromMs: number, toMs: number): { fromMs: number; toMs: number }[] {
  const nights: { fromMs: number; toMs: number }[] = [];
  const step = HOUR_MS / 4;
  for (let ms = fromMs; ms < toMs; ms += step) {
    if (!inNight(ms, { fromMin: 22 * 60, toMin: 6 * 60 }, plan.zone)) continue;
    const last = nights.at(-1);
    if (last && last.toMs >= ms) last.toMs = Math.min(toMs, ms + step);
    else nights.push({ fromMs: ms, toMs: Math.min(toMs, ms + step) });
  }
  return nights;
}

/** The whole job on one scale of time, a lane for each dish, with the night, now, and the table. */
export function Overview({ plan, nowMs }: { plan: Plan; nowMs: number }) {
  const first = plan.steps[0]?.atMs ?? plan.serveByMs;
  const fromMs = Math.min(first, nowMs > first - 12 * HOUR_MS ? Math.max(nowMs, first) : first, first);
  const toMs = plan.serveByMs;
  const wide = Math.max(1, toMs - fromMs);
  const left = (ms: number) => percent((ms - fromMs) / wide);
  const across = (a: number, b: number) => ({
    left: left(a),
    width: percent((Math.min(b, toMs) - Math.max(a, fromMs)) / wide),
  });
  const nameOf = (dishId: string) => plan.job.dishes.find((dish) => dish.dishId === dishId)?.name ?? '';
  const inMs = Math.min(...plan.dishes.map((dish) => dish.foodInMs));
  return (
    <figure class="plan-overview" aria-hidden="true">
      <div class="plan-lanes">
        {nightsOf(plan, fromMs, toMs).map((night) => (
          <span key={night.fromMs} class="plan-night" style={across(night.fromMs, night.toMs)} />
        ))}
        {plan.dishes.map((dish) => (
          <div key={dish.dishId} class="plan-lane" data-named={plan.dishes.length > 1}>
            {plan.dishes.length > 1 ? <span class="plan-lane-name">{nameOf(dish.dishId)}</span> : null}
            {piecesOf(plan, dish).map((piece) => (
              <span
                key={piece.kind}
                class="plan-piece"
                data-kind={piece.kind}
                style={across(piece.fromMs, piece.toMs)}
              >
                {(piece.toMs - piece.fromMs) / wide > 0.14 ? piece.word : ''}
              </span>
            ))}
            <ReadyMark dish={dish} toMs={toMs} across={across} left={left} />
          </div>
        ))}
        {nowMs >= fromMs && nowMs <= toMs ? (
          <span class="plan-now-mark" style={{ left: left(nowMs) }} />
        ) : null}
      </div>
      <figcaption>
        <span>{clockText(fromMs, plan.zone)}</span>
        {(inMs - fromMs) / wide > 0.32 && (inMs - fromMs) / wide < 0.68 ? (
          <span class="plan-caption-in" style={{ left: left(inMs) }}>
            in {clockText(inMs, plan.zone)}
          </span>
        ) : null}
        <span>{clockText(toMs, plan.zone)}</span>
      </figcaption>
    </figure>
  );
}

interface MarkProps {
  readonly dish: DishPlan;
  readonly toMs: number;
  readonly across: (a: number, b: number) => { left: string; width: string };
  readonly left: (ms: number) => string;
}

/** The span of readiness under a dish's lane. */
function ReadyMark({ dish, toMs, across, left }: MarkProps) {
  const { p10Ms, p50Ms, p90Ms } = dish.ready;
  if (p10Ms === null || p10Ms >= toMs) return null;
  return (
    <>
      <span class="plan-piece" data-kind="ready" style={across(p10Ms, p90Ms ?? toMs)} />
      {p50Ms !== null && p50Ms < toMs ? (
        <span class="plan-ready-middle" style={{ left: left(p50Ms) }} />
      ) : null}
    </>
  );
}

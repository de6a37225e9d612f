import { installation, status } from '../state/bath.ts';
import { unit } from '../state/prefs.ts';
import { inUnit } from '../words/temperature.ts';

/** All strips share this range, so that bath and cores can be compared by eye down the page. Degrees C. */
const LOW_C = 0;
const HIGH_C = 100;

const share = (celsius: number) => Math.min(100, Math.max(0, ((celsius - LOW_C) / (HIGH_C - LOW_C)) * 100));
const left = (celsius: number) => ({ left: `${share(celsius)}%` });
const between = (fromC: number, toC: number) => ({
  left: `${share(fromC)}%`,
  width: `${Math.max(0, share(toC) - share(fromC))}%`,
});

interface StripProps {
  /** The value the pointer stands at; null draws none. */
  readonly atC: number | null;
  readonly spanC?: readonly [number, number];
  readonly faded: boolean;
  readonly summary: string;
  readonly marked?: boolean;
}

/** A value on the shared scale, with normal band, setpoint and hot limit; the words beside it say the same. */
export function Strip({ atC, spanC, faded, summary, marked = false }: StripProps) {
  const now = status.value;
  const setpointC = now?.setpointC ?? null;
  const band = now?.bandC ?? null;
  return (
    <div class={faded ? 'strip faded' : 'strip'} role="img" aria-label={summary}>
      <div class="track" />
      {band === null ? null : <div class="band" style={between(band.lowC, band.highC)} />}
      {spanC ? <div class="span" style={between(spanC[0], spanC[1])} /> : null}
      {now ? <div class="limit" style={left(now.hotLimitC)} /> : null}
      {setpointC === null ? null : <div class="wanted" style={left(setpointC)} />}
      {atC === null ? null : <div class={marked ? 'pointer big' : 'pointer'} style={left(atC)} />}
    </div>
  );
}

/** Numbers under the first strip and what its marks mean. */
export function StripScale() {
  const now = status.value;
  const u = unit.value;
  const ticks = u === 'C' ? [0, 20, 40, 60, 80, 100] : [32, 70, 105, 140, 175, 212];
  const toC = (value: number) => (u === 'C' ? value : (value - 32) / 1.8);
  const number = (celsius: number) => inUnit(celsius, u).toFixed(1);
  return (
    <div class="scale">
      <div class="ticks" aria-hidden="true">
        {ticks.map((tick) => (
          <span key={tick} style={left(toC(tick))}>
            {tick}
          </span>
        ))}
      </div>
      <p class="key">
        {now?.setpointC === null || now === null ? null : (
          <span>
            <i class="sample wanted-sample" /> setpoint {number(now.setpointC)}
          </span>
        )}
        <span>
          <i class="sample limit-sample" /> hot limit{' '}
          {number(now?.hotLimitC ?? installation.value?.hotLimitC ?? 57.2)}
        </span>
      </p>
    </div>
  );
}

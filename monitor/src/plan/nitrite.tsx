import { useSignal } from '@preact/signals';
import { NITRITE_CAUTIONS, type NitriteResult, nitrite } from '../../../shared/cure/nitrite.ts';
import { NumberField, Tick } from '../view/parts.tsx';
import { parseNumber } from '../words/number.ts';

/**
 * Curing salt with nitrite: off until somebody asks for it, by weight only, with hard stops. Rubbed on whole meat it
 * goes by the formula for dry curing; other ways are for the command line.
 */
export function Nitrite({ meatKg }: { meatKg: number }) {
  const on = useSignal(false);
  const grams = useSignal('');
  const percent = useSignal('');
  const set = (field: { value: string }) => (value: string) => {
    field.value = value;
  };
  return (
    <details data-test="plan-nitrite" data-on={on.value}>
      <summary>Curing salt with nitrite: {on.value ? 'being worked out' : 'none'}</summary>
      <div class="plan-fold">
        <p>{NITRITE_CAUTIONS[0]}</p>
        <Tick
          id="plan-nitrite-on"
          checked={on.value}
          onChange={(value) => {
            on.value = value;
          }}
        >
          Work it out for this meat. It is not part of the plan.
        </Tick>
        {on.value ? (
          <>
            <ul class="plan-cautions">
              {NITRITE_CAUTIONS.slice(1).map((caution) => (
                <li key={caution}>{caution}</li>
              ))}
            </ul>
            <NumberField
              id="plan-nitrite-grams"
              label="Curing salt, weighed"
              unitText="g"
              value={grams.value}
              step={0.5}
              min={0.1}
              max={500}
              decimals={1}
              usual={1}
              onChange={set(grams)}
            />
            <NumberField
              id="plan-nitrite-percent"
              label="Nitrite in it, as its label says"
              unitText="%"
              value={percent.value}
              step={0.05}
              min={0.1}
              max={10}
              decimals={2}
              usual={0.5}
              onChange={set(percent)}
            />
            <Found grams={parseNumber(grams.value)} percent={parseNumber(percent.value)} meatKg={meatKg} />
          </>
        ) : null}
      </div>
    </details>
  );
}

function Found({ grams, percent, meatKg }: { grams: number; percent: number; meatKg: number }) {
  if (!Number.isFinite(grams) || !Number.isFinite(percent)) return null;
  let found: NitriteResult;
  try {
    found = nitrite({ method: 'dry', curingSaltG: grams, nitriteFraction: percent / 100, meatKg });
  } catch (error) {
    if (!(error instanceof RangeError)) throw error;
    return <p class="help fault">{error.message}</p>;
  }
  if (found.stop) {
    return (
      <p class="trouble" role="alert" data-test="plan-nitrite-stop">
        {found.stop}
      </p>
    );
  }
  return (
    <>
      <p data-test="plan-nitrite-words">
        <b>{found.words}</b> It brings {found.saltG.toFixed(1)} g of salt, to be taken off the kitchen salt.
      </p>
      <p class="help">From: {found.source}.</p>
    </>
  );
}

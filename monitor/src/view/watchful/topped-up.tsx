import { useSignal } from '@preact/signals';
import { run } from '../../state/errand.ts';
import { unit } from '../../state/prefs.ts';
import { parseNumber } from '../../words/number.ts';
import { fromUnit } from '../../words/temperature.ts';
import { NumberField, Page, Submit, TroubleOf } from '../parts.tsx';

const LITRES = { min: 0.1, max: 50 };
/** Water that is poured, in the page's unit. */
const WARMTH = { C: { min: 0, max: 100, usual: 15 }, F: { min: 32, max: 212, usual: 60 } };

/** The number in a field, or null where it is none or out of its limits. */
function within(text: string, { min, max }: { min: number; max: number }): number | null {
  const value = parseNumber(text);
  return Number.isFinite(value) && value >= min && value <= max ? value : null;
}

/** Water was poured in: said, so that it is taken for neither a fault nor food. */
export function ToppedUpPage() {
  const litres = useSignal('1');
  const warmth = useSignal('');
  const u = unit.value;
  const poured = within(litres.value, LITRES);
  const unknown = warmth.value.trim() === '';
  const warm = within(warmth.value, WARMTH[u]);
  const send = () => {
    const celsius = warm === null ? null : fromUnit(warm, u);
    const order = { kind: 'topped-up' as const, litres: poured ?? 0, celsius };
    run({ order, from: 'topped-up', done: 'Noted: water was topped up.' });
  };
  return (
    <Page test="topped-up-page" title="Water topped up">
      <p>
        What the water does in the next minutes is then expected, and how much has evaporated counts from
        here. The element must be well under water before it heats.
      </p>
      <NumberField
        id="topped-litres"
        label="Poured in"
        unitText="L"
        value={litres.value}
        step={0.5}
        {...LITRES}
        decimals={1}
        onChange={(text) => {
          litres.value = text;
        }}
      />
      <NumberField
        id="topped-warmth"
        label="How warm it was, where known"
        unitText={`°${u}`}
        value={warmth.value}
        step={5}
        {...WARMTH[u]}
        optional
        onChange={(text) => {
          warmth.value = text;
        }}
      />
      <TroubleOf view="topped-up" />
      <Submit
        test="topped-up-submit"
        ready={poured !== null && (unknown || warm !== null)}
        why={`Give litres from ${LITRES.min} to ${LITRES.max}, and a temperature or none.`}
        onPress={send}
      >
        Note it
      </Submit>
    </Page>
  );
}

import { useSignal } from '@preact/signals';
import { run } from '../../state/errand.ts';
import { unit } from '../../state/prefs.ts';
import { parseNumber } from '../../words/number.ts';
import { fromUnit } from '../../words/temperature.ts';
import { NumberField, Page, Submit, TroubleOf } from '../parts.tsx';

const MOST_LITRES = 50;

/** Water was poured in: said, so that it is taken for neither a fault nor food. */
export function ToppedUpPage() {
  const litres = useSignal('1');
  const warmth = useSignal('');
  const u = unit.value;
  const [coldest, hottest] = u === 'C' ? [0, 100] : [32, 212];
  const inLimits = (text: string, min: number, max: number) => {
    const value = parseNumber(text);
    return Number.isFinite(value) && value >= min && value <= max ? value : null;
  };
  const litresNow = inLimits(litres.value, 0.1, MOST_LITRES);
  const empty = warmth.value.trim() === '';
  const warmthNow = empty ? null : inLimits(warmth.value, coldest, hottest);
  const ready = litresNow !== null && (empty || warmthNow !== null);
  const send = () => {
    if (litresNow === null) return;
    const celsius = warmthNow === null ? null : fromUnit(warmthNow, u);
    run({
      order: { kind: 'topped-up', litres: litresNow, celsius },
      from: 'topped-up',
      done: 'Noted: water was topped up.',
    });
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
        min={0.1}
        max={MOST_LITRES}
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
        min={coldest}
        max={hottest}
        optional
        usual={u === 'C' ? 15 : 60}
        onChange={(text) => {
          warmth.value = text;
        }}
      />
      <TroubleOf view="topped-up" />
      <Submit
        test="topped-up-submit"
        ready={ready}
        why={`Give litres from 0.1 to ${MOST_LITRES}, and a temperature or none.`}
        onPress={send}
      >
        Note it
      </Submit>
    </Page>
  );
}

import { type Signal, useSignal } from '@preact/signals';
import type { BagView } from '../../../../shared/wire/status.ts';
import { bagsIn, bagsOut } from '../../state/bath.ts';
import { run } from '../../state/errand.ts';
import { unit } from '../../state/prefs.ts';
import { view } from '../../state/view.ts';
import { numberFault, parseNumber } from '../../words/number.ts';
import { fromUnit, inUnit } from '../../words/temperature.ts';
import { NumberField, Page, Submit, Tick, TroubleOf } from '../parts.tsx';

/** As the record keeps it. */
const SEARCHED = 'the lowest of three places';

/** The bag that the view is about, in the bath or out of it. */
export function askedBag(): BagView | undefined {
  const { bagId } = view.value;
  return [...bagsIn.value, ...bagsOut.value].find((bag) => bag.bagId === bagId);
}

/** A core read with a thermometer that is not wired to the controller. */
export function CoreReading() {
  const bag = askedBag();
  if (!bag || (bag.outAtMs !== null && bag.chill?.endedAtMs !== null)) {
    return (
      <Page test="core-reading-page" title="Core reading">
        <p>That bag is neither in the bath nor being chilled.</p>
      </Page>
    );
  }
  return (
    <Page test="core-reading-page" title={`Core reading: ${bag.label}`}>
      <Meaning inBath={bag.outAtMs === null} />
      <Reading bag={bag} />
    </Page>
  );
}

function Meaning({ inBath }: { inBath: boolean }) {
  return (
    <div class="consequence" data-test="consequence">
      {inBath ? (
        <p>
          Read it at the thickest part, through the bag’s mouth, with a clean thermometer. A reading under the
          model’s coldest case lowers the credit of heat at once, and far under it the credit begins anew. It
          raises the credit only where the cold spot was searched and recorded.
        </p>
      ) : (
        <p>
          Read it at the thickest part with a clean thermometer. Cooling is judged by these readings alone,
          the worst case between them: one just before and one just after a limit count most.
        </p>
      )}
    </div>
  );
}

function Reading({ bag }: { bag: BagView }) {
  const u = unit.value;
  const typed = useSignal('');
  const minutes = useSignal('0');
  const searched = useSignal(false);
  const inBath = bag.outAtMs === null;
  const [low, high] = [Math.ceil(inUnit(-20, u)), Math.floor(inUnit(110, u))];
  const fault =
    numberFault(typed.value, low, high, `°${u}`) ??
    (inBath ? null : numberFault(minutes.value, 0, 60, 'minutes'));
  const order = () => ({
    kind: 'core-reading' as const,
    bagId: bag.bagId,
    celsius: fromUnit(parseNumber(typed.value), u),
    agoS: inBath ? 0 : parseNumber(minutes.value) * 60,
    ...(inBath && searched.value ? { coldSpot: SEARCHED } : {}),
  });
  const done = `Noted of ${bag.label}: core ${typed.value.trim()} °${u}.`;
  return (
    <>
      <NumberField
        id="core"
        label="Core"
        unitText={`°${u}`}
        value={typed.value}
        step={0.5}
        min={low}
        max={high}
        decimals={1}
        usual={Math.round(inUnit(bag.chill?.next?.celsius ?? bag.coreC, u))}
        help={`What the thermometer shows; it counts as right within ${u === 'C' ? '1 °C' : '1.8 °F'}.`}
        onChange={(text) => {
          typed.value = text;
        }}
      />
      {inBath ? <Searched searched={searched} /> : <Ago minutes={minutes} />}
      <TroubleOf view="core-reading" />
      <Submit
        test="core-reading-submit"
        ready={fault === null}
        why={fault ?? undefined}
        onPress={() => run({ order: order(), from: 'core-reading', bagId: bag.bagId, done })}
      >
        Note this reading
      </Submit>
    </>
  );
}

/** Only in the bath: where the cold spot was searched, a reading may raise the credit. */
function Searched({ searched }: { searched: Signal<boolean> }) {
  return (
    <Tick
      id="searched"
      checked={searched.value}
      onChange={(on) => {
        searched.value = on;
      }}
    >
      I searched for the coldest place: this is the lowest of three
    </Tick>
  );
}

/** Only while chilling: a reading written on paper may be entered later. */
function Ago({ minutes }: { minutes: Signal<string> }) {
  return (
    <NumberField
      id="ago"
      label="Read so long ago"
      unitText="minutes"
      value={minutes.value}
      step={5}
      min={0}
      max={60}
      onChange={(text) => {
        minutes.value = text;
      }}
    />
  );
}

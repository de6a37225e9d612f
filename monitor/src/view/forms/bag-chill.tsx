import { useSignal } from '@preact/signals';
import type { ChillOutcome } from '../../../../shared/wire/command.ts';
import type { BagView } from '../../../../shared/wire/status.ts';
import { bagsIn, bagsOut } from '../../state/bath.ts';
import { run } from '../../state/errand.ts';
import { unit } from '../../state/prefs.ts';
import { view } from '../../state/view.ts';
import { OUTCOME_WORDS } from '../../words/chill.ts';
import { numberFault, parseNumber } from '../../words/number.ts';
import { fromUnit, inUnit, type TemperatureUnit, temperatureText } from '../../words/temperature.ts';
import { Choice, NumberField, Page, Submit, Tick, TroubleOf } from '../parts.tsx';

const degrees = (u: TemperatureUnit) => `°${u}`;

function asked(): BagView | undefined {
  const { bagId } = view.value;
  return [...bagsIn.value, ...bagsOut.value].find((bag) => bag.bagId === bagId);
}

/** A core read with a thermometer that is not wired to the controller. */
export function CoreReading() {
  const bag = asked();
  const u = unit.value;
  const typed = useSignal('');
  const minutes = useSignal('0');
  const inBath = bag?.outAtMs === null;
  const [low, high] = [Math.ceil(inUnit(-20, u)), Math.floor(inUnit(110, u))];
  const fault =
    numberFault(typed.value, low, high, degrees(u)) ??
    (inBath ? null : numberFault(minutes.value, 0, 60, 'minutes'));
  if (!bag || (bag.outAtMs !== null && bag.chill?.endedAtMs !== null)) {
    return (
      <Page test="core-reading-page" title="Core reading">
        <p>That bag is neither in the bath nor being chilled.</p>
      </Page>
    );
  }
  const send = () =>
    run({
      order: {
        kind: 'core-reading',
        bagId: bag.bagId,
        celsius: fromUnit(parseNumber(typed.value), u),
        agoS: inBath ? 0 : parseNumber(minutes.value) * 60,
      },
      from: 'core-reading',
      bagId: bag.bagId,
      done: `Noted of ${bag.label}: core ${typed.value.trim()} ${degrees(u)}.`,
    });
  return (
    <Page test="core-reading-page" title={`Core reading: ${bag.label}`}>
      <div class="consequence" data-test="consequence">
        {inBath ? (
          <p>
            Read it at the thickest part, through the bag’s mouth, with a clean thermometer. A reading under
            the model’s coldest case lowers the credit of heat at once, and far under it the credit begins
            anew. It raises the credit only where the cold spot was searched and recorded.
          </p>
        ) : (
          <p>
            Read it at the thickest part with a clean thermometer. Cooling is judged by these readings alone,
            the worst case between them: one just before and one just after a limit count most.
          </p>
        )}
      </div>
      <NumberField
        id="core"
        label="Core"
        unitText={degrees(u)}
        value={typed.value}
        step={0.5}
        min={low}
        max={high}
        decimals={1}
        usual={Number(inUnit(Math.round(bag.chill?.next?.celsius ?? bag.coreC), u).toFixed(0))}
        help="What the thermometer shows; it counts as right within 1 degree Celsius."
        onChange={(text) => {
          typed.value = text;
        }}
      />
      {inBath ? null : (
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
      )}
      <TroubleOf view="core-reading" />
      <Submit test="core-reading-submit" ready={fault === null} why={fault ?? undefined} onPress={send}>
        Note this reading
      </Submit>
    </Page>
  );
}

const OUTCOMES = ['fridge', 'frozen', 'served', 'discarded'] as const satisfies readonly ChillOutcome[];

/** What became of a chilled bag, and what the rules for keeping it need to know. */
export function EndChill() {
  const bag = asked();
  const u = unit.value;
  const outcome = useSignal<ChillOutcome>('fridge');
  const fridge = useSignal('');
  const recorded = useSignal(false);
  const plan = useSignal(false);
  const garlic = useSignal(false);
  if (!bag?.chill || bag.chill.endedAtMs !== null) {
    return (
      <Page test="end-chill-page" title="Put away">
        <p>That bag has no open record of its cooling.</p>
      </Page>
    );
  }
  const [low, high] = [Math.ceil(inUnit(-40, u)), Math.floor(inUnit(30, u))];
  const known = fridge.value.trim() !== '';
  const fault = outcome.value === 'fridge' && known ? numberFault(fridge.value, low, high, degrees(u)) : null;
  const unfinished = bag.verdicts.some(
    ({ words, status }) => words.startsWith('Cooling') && status === 'not-yet',
  );
  const send = () =>
    run({
      order: {
        kind: 'end-chill',
        bagId: bag.bagId,
        outcome: outcome.value,
        fridgeC: outcome.value === 'fridge' && known ? fromUnit(parseNumber(fridge.value), u) : null,
        fridgeRecorded: recorded.value,
        writtenPlan: plan.value,
        rawGarlicOrHerbsInOil: garlic.value,
      },
      from: 'end-chill',
      bagId: bag.bagId,
      done: `Noted of ${bag.label}: ${OUTCOME_WORDS[outcome.value].toLowerCase()}.`,
    });
  return (
    <Page test="end-chill-page" title={`Put away: ${bag.label}`}>
      <div class="consequence" data-test="consequence">
        <p>The record of its cooling ends here; no reading can be added afterwards.</p>
        {unfinished ? (
          <p class="warn">
            No reading shows yet that the cooling rule is kept: no date to keep it until will be given.
          </p>
        ) : null}
      </div>
      <Choice
        name="outcome"
        legend="What became of it?"
        value={outcome.value}
        options={OUTCOMES.map((value) => ({ value, text: OUTCOME_WORDS[value] }))}
        onChange={(value) => {
          outcome.value = value;
        }}
      />
      {outcome.value === 'fridge' ? (
        <>
          <NumberField
            id="fridge"
            label="The fridge, at its warmest"
            unitText={degrees(u)}
            value={fridge.value}
            step={0.5}
            min={low}
            max={high}
            decimals={1}
            optional
            usual={Number(inUnit(4, u).toFixed(0))}
            help={`Leave it empty where nobody measured: then no date is given. Rules ask for ${temperatureText(5, u, 0)} or colder.`}
            onChange={(text) => {
              fridge.value = text;
            }}
          />
          <Tick
            id="recorded"
            checked={recorded.value}
            onChange={(on) => {
              recorded.value = on;
            }}
          >
            The fridge’s temperature is recorded without a break and looked at twice a day
          </Tick>
          <Tick
            id="plan"
            checked={plan.value}
            onChange={(on) => {
              plan.value = on;
            }}
          >
            A written hazard plan for food packed without air is in force here
          </Tick>
        </>
      ) : null}
      <Tick
        id="garlic"
        checked={garlic.value}
        onChange={(on) => {
          garlic.value = on;
        }}
      >
        Raw garlic, or raw herbs in oil, were sealed in
      </Tick>
      <TroubleOf view="end-chill" />
      <Submit test="end-chill-submit" ready={fault === null} why={fault ?? undefined} onPress={send}>
        End the cooling record
      </Submit>
    </Page>
  );
}

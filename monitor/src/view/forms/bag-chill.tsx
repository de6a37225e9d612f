import { type Signal, useSignal } from '@preact/signals';
import type { ChillOutcome } from '../../../../shared/wire/command.ts';
import type { BagView } from '../../../../shared/wire/status.ts';
import { run } from '../../state/errand.ts';
import { unit } from '../../state/prefs.ts';
import { OUTCOME_WORDS } from '../../words/chill.ts';
import { numberFault, parseNumber } from '../../words/number.ts';
import { fromUnit, inUnit, temperatureText } from '../../words/temperature.ts';
import { Choice, NumberField, Page, Submit, Tick, TroubleOf } from '../parts.tsx';
import { askedBag } from './bag-reading.tsx';

const OUTCOMES = ['fridge', 'frozen', 'served', 'discarded'] as const satisfies readonly ChillOutcome[];

interface Keeping {
  readonly outcome: Signal<ChillOutcome>;
  readonly fridge: Signal<string>;
  readonly recorded: Signal<boolean>;
  readonly plan: Signal<boolean>;
  readonly garlic: Signal<boolean>;
}

/** What became of a chilled bag, and what the rules for keeping it need to know. */
export function EndChill() {
  const bag = askedBag();
  if (!bag?.chill || bag.chill.endedAtMs !== null) {
    return (
      <Page test="end-chill-page" title="Put away">
        <p>That bag has no open record of its cooling.</p>
      </Page>
    );
  }
  const unfinished = bag.verdicts.some(
    ({ words, status }) => words.startsWith('Cooling') && status === 'not-yet',
  );
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
      <Ending bag={bag} />
    </Page>
  );
}

function Ending({ bag }: { bag: BagView }) {
  const u = unit.value;
  const keeping: Keeping = {
    outcome: useSignal<ChillOutcome>('fridge'),
    fridge: useSignal(''),
    recorded: useSignal(false),
    plan: useSignal(false),
    garlic: useSignal(false),
  };
  const outcome = keeping.outcome.value;
  const typed = outcome === 'fridge' ? keeping.fridge.value : '';
  const fault = typed.trim() === '' ? null : numberFault(typed, fridgeLow(u), fridgeHigh(u), `°${u}`);
  const order = () => ({
    kind: 'end-chill' as const,
    bagId: bag.bagId,
    outcome,
    fridgeC: typed.trim() === '' ? null : fromUnit(parseNumber(typed), u),
    fridgeRecorded: keeping.recorded.value,
    writtenPlan: keeping.plan.value,
    rawGarlicOrHerbsInOil: keeping.garlic.value,
  });
  const done = `Noted of ${bag.label}: ${OUTCOME_WORDS[outcome].toLowerCase()}.`;
  return (
    <>
      <Choice
        name="outcome"
        legend="What became of it?"
        value={outcome}
        options={OUTCOMES.map((value) => ({ value, text: OUTCOME_WORDS[value] }))}
        onChange={(value) => {
          keeping.outcome.value = value;
        }}
      />
      {outcome === 'fridge' ? <Fridge keeping={keeping} /> : null}
      <Said of={keeping.garlic} id="garlic">
        Raw garlic, or raw herbs in oil, were sealed in
      </Said>
      <TroubleOf view="end-chill" />
      <Submit
        test="end-chill-submit"
        ready={fault === null}
        why={fault ?? undefined}
        onPress={() => run({ order: order(), from: 'end-chill', bagId: bag.bagId, done })}
      >
        End the cooling record
      </Submit>
    </>
  );
}

const fridgeLow = (u: typeof unit.value) => Math.ceil(inUnit(-40, u));
const fridgeHigh = (u: typeof unit.value) => Math.floor(inUnit(30, u));

function Fridge({ keeping }: { keeping: Keeping }) {
  const u = unit.value;
  return (
    <>
      <NumberField
        id="fridge"
        label="The fridge, at its warmest"
        unitText={`°${u}`}
        value={keeping.fridge.value}
        step={0.5}
        min={fridgeLow(u)}
        max={fridgeHigh(u)}
        decimals={1}
        optional
        usual={Math.round(inUnit(4, u))}
        help={`Leave it empty where nobody measured: then no date is given. Rules ask for ${temperatureText(5, u, 0)} or colder.`}
        onChange={(text) => {
          keeping.fridge.value = text;
        }}
      />
      <Said of={keeping.recorded} id="recorded">
        The fridge’s temperature is recorded without a break and looked at twice a day
      </Said>
      <Said of={keeping.plan} id="plan">
        A written hazard plan for food packed without air is in force here
      </Said>
    </>
  );
}

function Said({ of, id, children }: { of: Signal<boolean>; id: string; children: string }) {
  return (
    <Tick
      id={id}
      checked={of.value}
      onChange={(on) => {
        of.value = on;
      }}
    >
      {children}
    </Tick>
  );
}

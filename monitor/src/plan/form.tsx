import { signal } from '@preact/signals';
import { useEffect } from 'preact/hooks';
import { PlanFault } from '../../../shared/plan/fault.ts';
import { findCut } from '../../../shared/plan/find-cut.ts';
import { readRequest } from '../../../shared/plan/request.ts';
import { unit } from '../state/prefs.ts';
import { go, view } from '../state/view.ts';
import { Button, Choice, NumberField, Page, Submit, TroubleBox } from '../view/parts.tsx';
import { localText } from '../words/temperature.ts';
import { DishFields } from './dish-fields.tsx';
import { type DayChoice, emptyDish, withRequest } from './draft.ts';
import { formOf } from './form-of.ts';
import { KeptPlans } from './kept-plans.tsx';
import { MoreFields } from './more-fields.tsx';
import {
  changing,
  draft,
  faults,
  hearKnown,
  hearPlans,
  known,
  knownTrouble,
  newDraft,
  planHere,
  planNowMs,
  type,
  warmPlanner,
} from './state.ts';
import { dateField, dayHeading } from './when.ts';

const MOST_DISHES = 8;
/** What stands in the address, instead of a plan's id, while a plan is changed. */
export const CHANGE = 'change';

/** Asks only what it needs: what, how much or for how many, when. */
export function PlanForm() {
  useEffect(() => {
    void hearKnown();
    void hearPlans();
    // A change that was left is not to surprise anybody; a form that is still empty follows the units in force.
    const left = changing.value !== null && view.value.bagId !== CHANGE;
    if (left || draft.value.dishes.every((dish) => dish.cutId === '')) newDraft();
    return warmPlanner();
  }, []);
  return (
    <Page test="plan-form" title={changing.value ? 'Change the plan' : 'Plan a meal'}>
      {changing.value ? null : <KeptPlans />}
      <LineField />
      <Dishes />
      <People />
      <When />
      <MoreFields />
      <MakePlan />
    </Page>
  );
}

function Dishes() {
  const { dishes } = draft.value;
  return (
    <>
      {dishes.map((dish, i) => (
        <DishFields key={dish.key} dish={dish} number={dishes.length > 1 ? i + 1 : null} />
      ))}
      {dishes.length < MOST_DISHES && dishes.at(-1)?.cutId !== '' ? (
        <Button
          test="plan-add-dish"
          onPress={() =>
            type({ dishes: [...dishes, emptyDish(Math.max(...dishes.map((dish) => dish.key)) + 1)] })
          }
        >
          Another dish in the same bath
        </Button>
      ) : null}
    </>
  );
}

function People() {
  const { people, dishes } = draft.value;
  const weighed = dishes.every((dish) => dish.mass.trim() !== '');
  return (
    <NumberField
      id="plan-people"
      label="For how many"
      unitText={weighed ? 'people, if you like' : 'people'}
      value={people}
      step={1}
      min={1}
      max={500}
      optional={weighed}
      usual={4}
      help={
        weighed
          ? 'Then it says whether the weight is scant or plenty.'
          : 'Without a weight it takes what is usual for so many.'
      }
      onChange={(value) => type({ people: value })}
    />
  );
}

const DAYS: readonly { value: DayChoice; text: string; hint: string }[] = [
  { value: 'first', text: 'Soonest', hint: 'the first day it can be done' },
  { value: 'today', text: 'Today', hint: '' },
  { value: 'tomorrow', text: 'Tomorrow', hint: '' },
  { value: 'date', text: 'Another day', hint: 'by date' },
];

function When() {
  const { time, day, date, zone } = draft.value;
  const now = planNowMs.value;
  const hints: Record<DayChoice, string> = {
    first: 'the first day it can be done',
    today: shortDay(now, now, zone),
    tomorrow: shortDay(now + 86_400_000, now, zone),
    date: date === '' ? 'by its date' : date,
  };
  return (
    <>
      <div class="field">
        <label for="plan-time">On the table at</label>
        <input
          id="plan-time"
          data-test="plan-time"
          class="plan-time"
          type="time"
          value={time}
          onInput={(event) => type({ time: event.currentTarget.value })}
        />
      </div>
      <Choice
        name="plan-day"
        legend="Day"
        value={day}
        options={DAYS.map((one) => ({ ...one, hint: hints[one.value] }))}
        onChange={(value) => type({ day: value })}
      />
      {day === 'date' ? (
        <div class="field">
          <label for="plan-date">Date</label>
          <input
            id="plan-date"
            data-test="plan-date"
            type="date"
            value={date}
            min={dateField(now, zone)}
            onInput={(event) => type({ date: event.currentTarget.value })}
          />
        </div>
      ) : null}
    </>
  );
}

const shortDay = (ms: number, now: number, zone: string) =>
  dayHeading(ms, now, zone).split(', ').at(-1) ?? '';

const line = signal('');
const lineFaults = signal<readonly string[]>([]);

function readLine(): void {
  try {
    const request = readRequest(line.value);
    draft.value = withRequest(draft.value, request, (words) => findCut(words).id);
    lineFaults.value = [];
    line.value = '';
  } catch (error) {
    if (!(error instanceof PlanFault)) throw error;
    lineFaults.value = error.faults;
  }
}

/** The whole of it in one line, for those who would rather type. */
function LineField() {
  return (
    <details class="plan-line-entry">
      <summary>Rather in one line</summary>
      <form
        class="field"
        onSubmit={(event) => {
          event.preventDefault();
          readLine();
        }}
      >
        <label for="plan-line">For example: lamb shoulder, 2 kg, eight people, 19:30</label>
        <input
          id="plan-line"
          data-test="plan-line"
          value={line.value}
          autocomplete="off"
          enterkeyhint="go"
          onInput={(event) => {
            line.value = event.currentTarget.value;
          }}
        />
        {lineFaults.value.map((fault) => (
          <p key={fault} class="help fault" data-test="plan-line-fault">
            {fault}
          </p>
        ))}
        <Button test="plan-line-read" onPress={readLine}>
          Fill in from this line
        </Button>
      </form>
    </details>
  );
}

function MakePlan() {
  const formed = formOf(draft.value, planNowMs.value);
  const u = unit.value;
  return (
    <>
      {faults.value.length > 0 ? (
        <div class="trouble" role="alert" data-test="plan-faults">
          <strong>It cannot be planned like this.</strong>
          <ul>
            {faults.value.map((fault) => (
              <li key={fault}>{localText(fault, u)}</li>
            ))}
          </ul>
        </div>
      ) : null}
      {known.value === null && knownTrouble.value ? <TroubleBox trouble={knownTrouble.value} /> : null}
      <Submit
        test="plan-make"
        ready={formed.ok && known.value !== null}
        why={
          formed.ok
            ? 'The controller has not yet said what rig it has. Try again in a moment.'
            : `Still missing: ${formed.missing.join(', ')}.`
        }
        onPress={() => {
          if (!formed.ok) return;
          const planId = planHere(formed.form);
          if (planId) go('plan', planId);
        }}
      >
        Make the plan
      </Submit>
    </>
  );
}

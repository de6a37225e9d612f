import { signal } from '@preact/signals';
import type { Option } from '../../../shared/plan/moved.ts';
import { clockText } from '../../../shared/plan/zone.ts';
import type { Trouble } from '../command/send.ts';
import { run } from '../state/errand.ts';
import { unit } from '../state/prefs.ts';
import { Button, TroubleBox } from '../view/parts.tsx';
import { localText, temperatureText } from '../words/temperature.ts';
import { fetchOutlook, moveDinner, wholeOutlook } from './api.ts';
import type { Forecast } from './running.tsx';
import { timeText } from './when.ts';
import { oddsWords } from './words.ts';

/** A moved dinner that is only looked at: nobody else sees it yet. */
const looked = signal<{ readonly serveBy: string; readonly outlook: Forecast } | null>(null);
const typed = signal('');
const refused = signal<Trouble | null>(null);
/** The option whose consequence is being read before it is done. */
const asked = signal<Option['id'] | null>(null);

async function look(planId: string, serveBy: string): Promise<void> {
  const answer = await fetchOutlook(planId, serveBy);
  refused.value = answer.ok ? null : answer.trouble;
  if (answer.ok && answer.value) {
    looked.value = { serveBy, outlook: { ...wholeOutlook(answer.value), atMs: answer.value.atMs } };
  }
}

function move(planId: string, serveBy: string | null, text: string): void {
  void run({
    order: null,
    send: async () => {
      const answer = await moveDinner(planId, serveBy);
      if (!answer.ok) return answer;
      looked.value = null;
      typed.value = '';
      return { ok: true };
    },
    from: 'plan',
    bagId: planId,
    done: text,
    to: { name: 'plan', id: planId },
  });
}

/** Dinner moved: what each way on does to texture and safety, before anybody decides. */
export function DinnerMoved({ planId, outlook }: { planId: string; outlook: Forecast }) {
  const trial = looked.value;
  const shown = trial?.outlook ?? outlook;
  const { zone } = shown.plan;
  return (
    <>
      <h3>Dinner moved?</h3>
      <form
        class="plan-move"
        onSubmit={(event) => {
          event.preventDefault();
          if (typed.value !== '') void look(planId, typed.value);
        }}
      >
        <label for="plan-move-time" class="spoken">
          New time on the table
        </label>
        <input
          id="plan-move-time"
          data-test="plan-move-time"
          type="time"
          value={typed.value || clockText(outlook.plan.serveByMs, zone)}
          onInput={(event) => {
            typed.value = event.currentTarget.value;
          }}
        />
        <Button
          test="plan-move-look"
          onPress={() => void look(planId, typed.value || clockText(outlook.plan.serveByMs, zone))}
        >
          What if
        </Button>
      </form>
      {refused.value ? <TroubleBox trouble={refused.value} /> : null}
      {trial ? <Trial planId={planId} trial={trial} outlook={outlook} /> : null}
      <Options planId={planId} shown={shown} />
    </>
  );
}

interface TrialProps {
  readonly planId: string;
  readonly trial: { readonly serveBy: string; readonly outlook: Forecast };
  readonly outlook: Forecast;
}

/** What a moved dinner would be like, before it is one. */
function Trial({ planId, trial, outlook }: TrialProps) {
  const shown = trial.outlook;
  const { zone } = shown.plan;
  return (
    <div class="consequence" data-test="plan-move-trial">
      <p>
        At {timeText(shown.plan.serveByMs, outlook.atMs, zone)}: {localText(shown.plan.words, unit.value)}
      </p>
      <div class="row">
        <Button
          test="plan-move-keep"
          strong
          onPress={() => move(planId, trial.serveBy, `Dinner is at ${trial.serveBy}.`)}
        >
          Dinner is at {trial.serveBy}
        </Button>
        <Button
          test="plan-move-back"
          onPress={() => {
            looked.value = null;
          }}
        >
          Leave it
        </Button>
      </div>
    </div>
  );
}

/** Ways on, each with what it does to texture and to safety. */
function Options({ planId, shown }: { planId: string; shown: Forecast }) {
  if (shown.options.length === 0) {
    return <p class="help">Ways to hold, slow down or chill are worked out once food is in.</p>;
  }
  const u = unit.value;
  return (
    <ul class="plan-options" data-test="plan-options">
      {shown.options.map((option) => (
        <li key={option.id} data-test="plan-option" data-option={option.id}>
          <p>
            <b>{localText(option.words, u)}</b>
          </p>
          <dl>
            <div>
              <dt>Texture</dt>
              <dd>{localText(option.texture, u)}</dd>
            </div>
            <div>
              <dt>Safety</dt>
              <dd>{localText(option.safety, u)}</dd>
            </div>
            <div>
              <dt>Odds</dt>
              <dd>{oddsWords(option.oddsFraction)} ready at the table</dd>
            </div>
          </dl>
          <TakeOption planId={planId} option={option} bathC={shown.plan.bathC} />
        </li>
      ))}
    </ul>
  );
}

/** Sets the bath as an option has it: once to read the consequence, once to do it. */
function TakeOption({ planId, option, bathC }: { planId: string; option: Option; bathC: number }) {
  const { setpointC } = option;
  if (setpointC === null || Math.abs(setpointC - bathC) < 0.5) return null;
  const u = unit.value;
  if (asked.value !== option.id) {
    return (
      <Button
        test={`plan-option-${option.id}`}
        onPress={() => {
          asked.value = option.id;
        }}
      >
        Bath to {temperatureText(setpointC, u, 0)}…
      </Button>
    );
  }
  const close = () => {
    asked.value = null;
  };
  return (
    <div class="consequence" data-test="consequence">
      <p>
        The setpoint goes from {temperatureText(bathC, u, 0)} to {temperatureText(setpointC, u, 0)} now, for
        every bag in the bath.{' '}
        {setpointC < bathC && /every standard/.test(option.words)
          ? 'Wait with it until every standard is met, as said above.'
          : ''}
      </p>
      <div class="row">
        <Button
          test={`plan-option-${option.id}-sure`}
          strong
          onPress={() =>
            void run({
              order: { kind: 'set-setpoint', setpointC, lowSetpointConfirmed: false },
              from: 'plan',
              bagId: planId,
              done: `The setpoint is ${temperatureText(setpointC, u, 0)}.`,
              to: { name: 'plan', id: planId },
              after: close,
            })
          }
        >
          Set it
        </Button>
        <Button test="plan-option-back" onPress={close}>
          Leave it
        </Button>
      </div>
    </div>
  );
}

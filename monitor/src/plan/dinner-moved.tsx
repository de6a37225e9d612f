import { signal } from '@preact/signals';
import type { Option } from '../../../shared/plan/moved.ts';
import type { Plan } from '../../../shared/plan/types.ts';
import { clockText, instantOf, wallTime } from '../../../shared/plan/zone.ts';
import type { Trouble } from '../command/send.ts';
import { run } from '../state/errand.ts';
import { unit } from '../state/prefs.ts';
import { Button, TroubleBox } from '../view/parts.tsx';
import { localText, temperatureText } from '../words/temperature.ts';
import { fetchOutlook, moveDinner, wholeOutlook } from './api.ts';
import type { Forecast } from './running.tsx';
import { planNowMs } from './state.ts';
import { timeText } from './when.ts';

interface Looked {
  readonly planId: string;
  readonly serveByMs: number;
  readonly outlook: Forecast;
}

/** A moved dinner that is only looked at: nobody else sees it yet. */
const looked = signal<Looked | null>(null);
const typed = signal('');
const refused = signal<Trouble | null>(null);
/** The option whose consequence is being read before it is done. */
const asked = signal<Option['id'] | null>(null);

async function look(planId: string, serveByMs: number): Promise<void> {
  const answer = await fetchOutlook(planId, new Date(serveByMs).toISOString());
  refused.value = answer.ok ? null : answer.trouble;
  if (!answer.ok || !answer.value) return;
  typed.value = '';
  looked.value = { planId, serveByMs, outlook: { ...wholeOutlook(answer.value), atMs: answer.value.atMs } };
}

function move(planId: string, serveByMs: number, text: string): void {
  void run({
    order: null,
    send: async () => {
      const answer = await moveDinner(planId, serveByMs);
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

const HOUR_MS = 3_600_000;
/** Ways to say it with a wet thumb, hours. */
const NUDGES = [-1, 1, 2, 3] as const;

/** The instant of a typed time: on the day of the dinner that is planned, or the next day where that has passed. */
function instantFor(text: string, plan: Plan, nowMs: number): number | null {
  const [hour, minute] = text.split(':').map(Number);
  if (hour === undefined || minute === undefined || !Number.isFinite(hour + minute)) return null;
  const day = wallTime(plan.serveByMs, plan.zone);
  const { ms } = instantOf({ ...day, hour, minute }, plan.zone);
  return ms > nowMs ? ms : ms + 24 * HOUR_MS;
}

/** Dinner moved: what each way on does to texture and safety, before anybody decides. */
export function DinnerMoved({ planId, outlook }: { planId: string; outlook: Forecast }) {
  const trial = looked.value?.planId === planId ? looked.value : null;
  const shown = trial?.outlook ?? outlook;
  const urgent = outlook.plan.status !== 'odds-met' || trial !== null;
  return (
    <details class="plan-dinner" data-test="plan-dinner" open={urgent}>
      <summary>
        <b>Dinner moved?</b> Hold, slow down or chill, and what each does
      </summary>
      <div class="plan-fold">
        <NewTime planId={planId} outlook={outlook} />
        {refused.value ? <TroubleBox trouble={refused.value} /> : null}
        {trial ? <Trial planId={planId} trial={trial} /> : null}
        <Options planId={planId} shown={shown} />
      </div>
    </details>
  );
}

/** The new time, by the hour or typed. */
function NewTime({ planId, outlook }: { planId: string; outlook: Forecast }) {
  const { plan } = outlook;
  const typedMs = () =>
    instantFor(typed.value || clockText(plan.serveByMs, plan.zone), plan, planNowMs.value);
  const tryTyped = () => {
    const ms = typedMs();
    if (ms !== null) void look(planId, ms);
  };
  return (
    <>
      <div class="plan-nudges">
        {NUDGES.filter((hours) => plan.serveByMs + hours * HOUR_MS > planNowMs.value).map((hours) => (
          <Button
            key={hours}
            test={`plan-nudge-${hours}`}
            onPress={() => void look(planId, plan.serveByMs + hours * HOUR_MS)}
          >
            {Math.abs(hours)} h {hours < 0 ? 'earlier' : 'later'}
          </Button>
        ))}
      </div>
      <form
        class="plan-move"
        onSubmit={(event) => {
          event.preventDefault();
          tryTyped();
        }}
      >
        <label for="plan-move-time" class="spoken">
          New time on the table
        </label>
        <input
          id="plan-move-time"
          data-test="plan-move-time"
          type="time"
          value={typed.value || clockText(plan.serveByMs, plan.zone)}
          onInput={(event) => {
            typed.value = event.currentTarget.value;
          }}
        />
        <Button test="plan-move-look" onPress={tryTyped}>
          What if
        </Button>
      </form>
    </>
  );
}

interface TrialProps {
  readonly planId: string;
  readonly trial: Looked;
}

/** What a moved dinner would be like, before it is one. */
function Trial({ planId, trial }: TrialProps) {
  const shown = trial.outlook;
  const { zone } = shown.plan;
  const when = timeText(trial.serveByMs, planNowMs.value, zone);
  return (
    <div class="consequence" data-test="plan-move-trial">
      <p>
        If dinner is <b>{when}</b>: {localText(shown.plan.words, unit.value)}
      </p>
      <div class="row">
        <Button
          test="plan-move-keep"
          strong
          onPress={() => move(planId, trial.serveByMs, `Dinner is ${when}.`)}
        >
          Dinner {when}
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
          </dl>
          <TakeOption planId={planId} option={option} plan={shown.plan} />
        </li>
      ))}
    </ul>
  );
}

/**
 * Sets the bath as an option has it: once to read the consequence, once to do it. A gentler bath cannot be set before
 * every standard is met.
 */
function TakeOption({ planId, option, plan }: { planId: string; option: Option; plan: Plan }) {
  const { setpointC, notBeforeMs } = option;
  const { bathC } = plan;
  if (setpointC === null || Math.abs(setpointC - bathC) < 0.5) return null;
  const u = unit.value;
  if (notBeforeMs !== null && notBeforeMs > planNowMs.value) {
    return (
      <p class="help" data-test={`plan-option-${option.id}-wait`}>
        Not yet: the bath stays at {temperatureText(bathC, u, 0)} until every standard is met, at{' '}
        {clockText(notBeforeMs, plan.zone)} (modelled). It can be set here then.
      </p>
    );
  }
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
        every bag in the bath.
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

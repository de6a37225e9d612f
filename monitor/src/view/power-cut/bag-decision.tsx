import { signal, useSignal } from '@preact/signals';
import type { OutageBagView, OutageOption } from '../../../../shared/wire/outage.ts';
import { status } from '../../state/bath.ts';
import { busy, run } from '../../state/errand.ts';
import { unit } from '../../state/prefs.ts';
import { whenText } from '../../words/clock.ts';
import { localText } from '../../words/temperature.ts';
import { Button, TextField, TroubleOf } from '../parts.tsx';

/** The name that was given last on this phone: the next bag is asked about by the same person. */
const lastName = signal('');

const CHOICES = {
  'go-on': { ask: 'Go on cooking', done: 'go on cooking' },
  chill: { ask: 'Take out and chill', done: 'take it out and chill it' },
  discard: { ask: 'Throw away', done: 'throw it away' },
} as const;

/** One bag after a power cut: what happened, what the rule says, and the decision with a name. */
export function BagDecision({ bag }: { bag: OutageBagView }) {
  const u = unit.value;
  return (
    <article class={bag.broken ? 'cut-bag broken' : 'cut-bag'} data-test="cut-bag" data-bag={bag.bagId}>
      <h3>{bag.label}</h3>
      <p class="cut-rule" data-test={`cut-rule-${bag.bagId}`}>
        <b>{bag.broken ? 'A limit is broken.' : 'No limit is broken.'}</b> {localText(bag.rule, u)}
      </p>
      {bag.unmendable ? (
        <p class="cut-unmendable" data-test={`cut-unmendable-${bag.bagId}`}>
          {bag.unmendable}
        </p>
      ) : null}
      <details>
        <summary>What happened to it</summary>
        <ul data-test={`cut-happened-${bag.bagId}`}>
          {bag.happened.map((line) => (
            <li key={line}>{localText(line, u)}</li>
          ))}
        </ul>
      </details>
      <Decision bag={bag} />
    </article>
  );
}

function Decision({ bag }: { bag: OutageBagView }) {
  const chosen = useSignal<OutageOption | null>(null);
  const { decision } = bag;
  if (bag.out && decision === null) return <p class="help">It is out of the bath.</p>;
  if (decision !== null) {
    const now = status.value?.wallMs ?? decision.atMs;
    return (
      <p class="cut-decided" data-test={`cut-decided-${bag.bagId}`} data-choice={decision.choice}>
        <b>{decision.name}</b> decided {whenText(decision.atMs, now)}: {CHOICES[decision.choice].done}.
      </p>
    );
  }
  if (chosen.value === null) {
    return (
      <div class="cut-options">
        {bag.options.map((option) => (
          <Button
            key={option.choice}
            test={`cut-${option.choice}-${bag.bagId}`}
            strong={option.advised}
            disabled={busy.value}
            onPress={() => {
              chosen.value = option;
            }}
          >
            {CHOICES[option.choice].ask}
            {option.advised ? <span class="cut-advised"> (what the rules ask for)</span> : null}
          </Button>
        ))}
      </div>
    );
  }
  return <Confirmed bag={bag} option={chosen.value} onBack={() => (chosen.value = null)} />;
}

function Confirmed({
  bag,
  option,
  onBack,
}: {
  bag: OutageBagView;
  option: OutageOption;
  onBack: () => void;
}) {
  const name = lastName.value.trim();
  const { bagId } = bag;
  const record = () =>
    run({
      order: { kind: 'decide-outage', bagId, choice: option.choice, name },
      from: 'watch',
      done: `Recorded: ${name} decided for ${bag.label}.`,
      stay: true,
    });
  return (
    <div class="cut-confirm" data-test={`cut-confirm-${bagId}`}>
      <p>
        <b>{CHOICES[option.choice].ask}.</b> {localText(option.consequence, unit.value)}
      </p>
      <TextField
        id={`cut-name-${bagId}`}
        label="Your name, for the record"
        value={lastName.value}
        maxLength={40}
        onChange={(text) => {
          lastName.value = text;
        }}
      />
      <TroubleOf view="watch" />
      <div class="row">
        <Button test={`cut-back-${bagId}`} onPress={onBack}>
          Back
        </Button>
        <Button test={`cut-record-${bagId}`} strong disabled={busy.value || name === ''} onPress={record}>
          Record this decision
        </Button>
      </div>
    </div>
  );
}

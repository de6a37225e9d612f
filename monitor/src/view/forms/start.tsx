import { signal } from '@preact/signals';
import { newId, type Order, type OrderOf } from '../../command/send.ts';
import { cookRunning } from '../../state/bath.ts';
import { run } from '../../state/errand.ts';
import { cautionsRead, unit } from '../../state/prefs.ts';
import { dayText } from '../../words/clock.ts';
import { inUnit, temperatureText } from '../../words/temperature.ts';
import { Page, Submit, TextField, TroubleOf } from '../parts.tsx';
import { BeforeHeat } from './before-heat.tsx';
import { askedOf, LowSetpoint } from './low-setpoint.tsx';
import { SetpointField, setpointOf } from './setpoint-field.tsx';

/** Where most tough cuts are held; common practice, no source. */
const USUAL_SETPOINT_C = 74;

const name = signal('');
const setpoint = signal<string | null>(null);
const checked = signal(false);
const read = signal(false);

function usualName(): string {
  return `Cook of ${dayText(Date.now())}`;
}

function send(order: Order): void {
  void run({
    order,
    from: 'start',
    done: 'The cook is started.',
    after: () => {
      name.value = '';
      setpoint.value = null;
      checked.value = false;
      cautionsRead.value = 'yes';
    },
  });
}

/** The button that starts it, or the question about a low setpoint. */
function StartButton({ first, setpointC }: { first: boolean; setpointC: number | null }) {
  if (askedOf('start')) {
    return (
      <LowSetpoint
        view="start"
        onSure={(held) => send({ ...(held as OrderOf<'start-cook'>), lowSetpointConfirmed: true })}
      />
    );
  }
  const missing = [
    ...(setpointC === null ? ['a setpoint that will do'] : []),
    ...(checked.value ? [] : ['your look at the box']),
    ...(first && !read.value ? ['the cautions'] : []),
  ];
  return (
    <>
      <TroubleOf view="start" />
      <Submit
        test="start-submit"
        ready={missing.length === 0}
        why={`Still missing: ${missing.join(', ')}.`}
        onPress={() => {
          if (setpointC === null) return;
          send({
            kind: 'start-cook',
            cookId: newId('cook'),
            name: name.value.trim() || usualName(),
            setpointC,
            lowSetpointConfirmed: false,
            atBath: checked.value,
          });
        }}
      >
        Heat the bath to {temperatureText(setpointC, unit.value)}
      </Submit>
    </>
  );
}

/** Starts a cook: name, setpoint, what to read and to look at, and the button. */
export function StartForm() {
  const u = unit.value;
  const text = setpoint.value ?? inUnit(USUAL_SETPOINT_C, u).toFixed(u === 'C' ? 1 : 0);
  const first = cautionsRead.value === 'no';
  return (
    <Page test="start-form" title="Start a cook">
      {cookRunning.value ? <p class="help fault">A cook is running already. End it first.</p> : null}
      <TextField
        id="cook-name-field"
        label={`Name (left empty: ${usualName()})`}
        value={name.value}
        maxLength={80}
        onChange={(value) => {
          name.value = value;
        }}
      />
      <SetpointField
        value={text}
        onChange={(value) => {
          setpoint.value = value;
        }}
      />
      <BeforeHeat first={first} read={read} looked={checked} />
      <p class="help">
        The element heats the water from now on without asking again. Water above{' '}
        {temperatureText(60, unit.value, 0)} burns skin within seconds.
      </p>
      <StartButton first={first} setpointC={setpointOf(text)} />
    </Page>
  );
}

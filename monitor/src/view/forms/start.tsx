import { signal } from '@preact/signals';
import { newId, type Order, type OrderOf } from '../../command/send.ts';
import { cookRunning } from '../../state/bath.ts';
import { run, trouble } from '../../state/errand.ts';
import { cautionsRead, unit } from '../../state/prefs.ts';
import { inUnit, temperatureText } from '../../words/temperature.ts';
import { CautionList } from '../cautions.tsx';
import { Page, Submit, TextField, Tick, TroubleOf } from '../parts.tsx';
import { LowSetpoint } from './low-setpoint.tsx';
import { SetpointField, setpointOf } from './setpoint-field.tsx';

/** Where most tough cuts are held; common practice, no source. */
const USUAL_SETPOINT_C = 74;

const name = signal('');
const setpoint = signal<string | null>(null);
const checked = signal(false);
const read = signal(false);

function usualName(): string {
  return `Cook of ${new Intl.DateTimeFormat(undefined, { weekday: 'long', day: 'numeric', month: 'long' }).format(Date.now())}`;
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

/** Starts a cook: name, setpoint, a look at the box; cautions before the first one on this phone. */
export function StartForm() {
  const u = unit.value;
  const text = setpoint.value ?? inUnit(USUAL_SETPOINT_C, u).toFixed(u === 'C' ? 1 : 0);
  const setpointC = setpointOf(text);
  const first = cautionsRead.value === 'no';
  const missing = [
    ...(setpointC === null ? ['a setpoint that will do'] : []),
    ...(checked.value ? [] : ['your look at the box']),
    ...(first && !read.value ? ['the cautions'] : []),
  ];
  const order = (celsius: number): OrderOf<'start-cook'> => ({
    kind: 'start-cook',
    cookId: newId('cook'),
    name: name.value.trim() || usualName(),
    setpointC: celsius,
    lowSetpointConfirmed: false,
  });
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
      {first ? <CautionList /> : null}
      {first ? (
        <Tick
          id="cautions-tick"
          checked={read.value}
          onChange={(value) => {
            read.value = value;
          }}
        >
          I have read the cautions.
        </Tick>
      ) : null}
      <Tick
        id="box-tick"
        checked={checked.value}
        onChange={(value) => {
          checked.value = value;
        }}
      >
        I have looked: the element is under water, the pump runs, the probe is in the water.
      </Tick>
      <p class="help">
        The element will heat the water, with nobody asked again. Water above 60 °C (
        {temperatureText(60, 'F', 0)}) burns skin within seconds.
      </p>
      {trouble.value?.trouble.code === 'setpoint-low' ? null : <TroubleOf view="start" />}
      <LowSetpoint
        view="start"
        onSure={(held) => send({ ...(held as OrderOf<'start-cook'>), lowSetpointConfirmed: true })}
      />
      <Submit
        test="start-submit"
        ready={missing.length === 0}
        why={`Still missing: ${missing.join(', ')}.`}
        onPress={() => {
          if (setpointC !== null) send(order(setpointC));
        }}
      >
        Heat the bath to {temperatureText(setpointC, u)}
      </Submit>
    </Page>
  );
}

import { readiness, trySound } from '../state/alerting.ts';
import { paired } from '../state/bath.ts';
import { unpair } from '../state/errand.ts';
import { keepAwake, screenTone, unit } from '../state/prefs.ts';
import { go } from '../state/view.ts';
import { Button, Choice, Page } from './parts.tsx';

/** Whether this phone can alarm now, and why or why not; with the touch that allows sound. */
export function Readiness() {
  const now = readiness.value;
  return (
    <section class="readiness" data-test="readiness" data-can={now.canAlarm}>
      <h2>{now.headline}</h2>
      <ul>
        {now.lines.map((line) => (
          <li key={line.text} class={line.ok ? 'ok' : 'not-ok'}>
            <b>{line.ok ? 'Yes' : 'No'}</b> <span>{line.text}</span>
          </li>
        ))}
      </ul>
      <Button test="try-sound" onPress={trySound}>
        Hear what an alarm sounds like
      </Button>
    </section>
  );
}

function Pairing() {
  return (
    <section>
      <h2>Pairing</h2>
      <p data-test="paired" data-paired={paired.value}>
        {paired.value
          ? 'Paired: this phone may start heat, change the setpoint and clear alarms.'
          : 'Not paired: this phone may watch, acknowledge and stop the heat.'}
      </p>
      {paired.value ? (
        <Button test="unpair" onPress={() => unpair()}>
          Forget this phone
        </Button>
      ) : (
        <Button test="go-pair" onPress={() => go('pair')}>
          Pair this phone
        </Button>
      )}
    </section>
  );
}

/** What belongs to this phone alone. */
export function PhonePage() {
  return (
    <Page test="phone-page" title="This phone">
      <Readiness />
      <Choice
        name="unit"
        legend="Temperatures in"
        value={unit.value}
        options={[
          { value: 'C', text: '°C' },
          { value: 'F', text: '°F' },
        ]}
        onChange={(value) => {
          unit.value = value;
        }}
      />
      <Choice
        name="screen"
        legend="Screen"
        value={screenTone.value}
        options={[
          { value: 'auto', text: 'As the phone is set' },
          { value: 'day', text: 'Light' },
          { value: 'night', text: 'Dark room' },
        ]}
        onChange={(value) => {
          screenTone.value = value;
        }}
      />
      <Choice
        name="awake"
        legend="Keep the screen on, where the browser can"
        value={keepAwake.value}
        options={[
          { value: 'yes', text: 'Yes' },
          { value: 'no', text: 'No' },
        ]}
        onChange={(value) => {
          keepAwake.value = value;
        }}
      />
      <Pairing />
    </Page>
  );
}

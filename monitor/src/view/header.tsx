import type { Installation } from '../../../shared/wire/status.ts';
import { alarms, readiness } from '../state/alerting.ts';
import { contact, installation, link, nowMs, reading, status } from '../state/bath.ts';
import { unit } from '../state/prefs.ts';
import { go, view } from '../state/view.ts';
import { ageText } from '../words/reading.ts';
import { localText, temperatureText } from '../words/temperature.ts';
import { Mark } from './alarm.tsx';

function contactText(): string {
  const { heardAtMs, state } = link.value;
  switch (contact.value) {
    case 'new':
      return 'Connecting';
    case 'live':
      return 'Connected';
    case 'unsure':
      return state === 'opening' ? 'Reconnecting' : 'Link broken';
    case 'lost':
      return heardAtMs === null ? 'Not connected' : `Not connected, ${ageText(nowMs.value - heardAtMs)}`;
  }
}

/** Kitchen, connection, and whether this phone can alarm now: on every view. */
export function Header() {
  const ready = readiness.value;
  const withBath = view.value.name !== 'watch' || alarms.value.length > 0;
  return (
    <header class={withBath ? 'top with-bath' : 'top'}>
      <div class="top-words">
        <strong class="kitchen" data-test="kitchen">
          {installation.value?.kitchen ?? 'Bathkeeper'}
        </strong>
        <span data-test="contact" data-contact={contact.value}>
          {contactText()}
        </span>
      </div>
      {withBath ? <SmallBath /> : null}
      <button
        type="button"
        class={ready.canAlarm ? 'can-alarm' : 'can-alarm no'}
        data-test="can-alarm"
        data-can={ready.canAlarm}
        onClick={() => go('phone')}
      >
        <span class="can-sign" aria-hidden="true">
          {ready.canAlarm ? '♪' : '∅'}
        </span>
        <span class="can-words">
          <span class="can-who">This phone </span>
          <b>{ready.canAlarm ? 'can alarm' : 'cannot alarm'}</b>
        </span>
      </button>
    </header>
  );
}

/** The bath while a form is open: never out of sight. */
function SmallBath() {
  const now = reading.value;
  const worst = alarms.value[0];
  return (
    <button type="button" class="small-bath" data-test="small-bath" onClick={() => go('watch')}>
      {worst ? <Mark priority={worst.priority} flashing={false} /> : null}
      <span class={now?.current ? '' : 'stale'}>
        {temperatureText(now?.celsius ?? null, unit.value)}
        {now?.current || now?.celsius === null ? null : <small> old</small>}
      </span>
    </button>
  );
}

/** Flags that only describe: what they say is reckoned with. Every probe stands with all of its own under "How it knows". */
const MILD = new Set(['none', 'check-only', 'age-unknown']);

const doubtful = (probes: Installation['probes']): string[] =>
  probes.flatMap(({ flags }) => flags.filter(({ id }) => !MILD.has(id)).map(({ text }) => text));

/** Which rig this is, and that its time is not the real one where that is so. */
export function RigLine() {
  const rig = installation.value;
  if (!rig) return null;
  const simulated = rig.rigKind !== 'usb';
  return (
    <p class="rig" data-test="rig" data-rig={rig.rigKind}>
      {simulated ? 'Simulated bath, no real water: ' : ''}
      {rig.rigText}
      {rig.speed > 1 ? (
        <strong data-test="speed"> Demo time runs {rig.speed} times faster than real time.</strong>
      ) : null}
      {doubtful(rig.probes).map((text) => (
        <strong key={text} data-test="probe-doubt">
          {' '}
          Probe: {localText(text, unit.value)}
        </strong>
      ))}
      {status.value && !status.value.wallTrusted ? (
        <span> The controller’s clock is not set: times of day may be wrong.</span>
      ) : null}
    </p>
  );
}

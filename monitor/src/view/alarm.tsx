import type { AlarmView, Priority } from '../../../shared/wire/alarm.ts';
import { alarms, beQuiet, quiet, soundingNow } from '../state/alerting.ts';
import { controllerMs, status } from '../state/bath.ts';
import { busy, run } from '../state/errand.ts';
import { unit } from '../state/prefs.ts';
import { go } from '../state/view.ts';
import { asideText, PRIORITY_WORDS, STATE_WORDS, setAside, wantsAcknowledge } from '../words/alarms.ts';
import { ageText } from '../words/reading.ts';
import { localText } from '../words/temperature.ts';
import { Button } from './parts.tsx';

/** Priority by shape, sign and colour together: triangle !!!, diamond !!, round !. */
export function Mark({ priority, flashing }: { priority: Priority; flashing: boolean }) {
  const { mark, text } = PRIORITY_WORDS[priority];
  return (
    <svg
      class={`mark ${priority}${flashing ? ' flashing' : ''}`}
      viewBox="0 0 48 48"
      width="48"
      height="48"
      role="img"
      aria-label={text}
    >
      {priority === 'high' ? <path d="M24 3 46 44H2Z" /> : null}
      {priority === 'medium' ? <path d="M24 2 46 24 24 46 2 24Z" /> : null}
      {priority === 'low' ? <circle cx="24" cy="24" r="21" /> : null}
      <text x="24" y={priority === 'high' ? 39 : 32} text-anchor="middle">
        {mark}
      </text>
    </svg>
  );
}

/** Whether this trip is cleared only by somebody who says that they stand at the bath. */
const atBathOnly = (alarmId: AlarmView['alarmId']): boolean =>
  status.value?.trip?.causes.some((cause) => cause.alarmId === alarmId && cause.atBathOnly) ?? false;

function ClearButton({ alarm }: { alarm: AlarmView }) {
  const { alarmId, title } = alarm;
  const atBath = atBathOnly(alarmId);
  const word = atBath ? 'I stand at the bath and have looked: clear it' : 'The cause is mended: clear it';
  return (
    <Button
      test={`clear-${alarmId}`}
      strong
      disabled={busy.value || alarm.active}
      onPress={() =>
        run({
          order: { kind: 'clear', alarmId, atBath },
          from: 'watch',
          done: `Cleared: ${title}`,
          stay: true,
        })
      }
    >
      {alarm.active ? 'Can be cleared once the cause is gone' : word}
    </Button>
  );
}

/** The board has cut by itself: it is asked, and what it makes of that stands in the alarm's words. */
function AskBoardButton({ alarmId }: { alarmId: AlarmView['alarmId'] }) {
  return (
    <Button
      test="clear-board"
      strong
      disabled={busy.value}
      onPress={() =>
        run({
          order: { kind: 'clear', alarmId, atBath: true },
          from: 'watch',
          done: 'The board was asked. Once it has cleared its cut this alarm goes; else it says here why not.',
          stay: true,
        })
      }
    >
      I stand at the bath and have looked: let the board heat again
    </Button>
  );
}

/** Somebody must be with the cook: the sign that they are. */
function HereButton() {
  return (
    <Button
      test="here"
      strong
      disabled={busy.value}
      onPress={() =>
        run({ order: { kind: 'here' }, from: 'watch', done: 'Noted: you are there.', stay: true })
      }
    >
      I am here
    </Button>
  );
}

function AlarmButtons({ alarm }: { alarm: AlarmView }) {
  const { alarmId, title } = alarm;
  const asksForSign = alarm.active && (alarmId === 'presence-due' || alarmId === 'presence-lapsed');
  const { boardHolds } = alarm;
  if (!wantsAcknowledge(alarm) && alarm.state !== 'latched' && !asksForSign && !boardHolds) return null;
  return (
    <div class="row">
      {asksForSign ? <HereButton /> : null}
      {wantsAcknowledge(alarm) ? (
        <Button
          test={`acknowledge-${alarmId}`}
          strong
          disabled={busy.value}
          onPress={() =>
            run({
              order: { kind: 'acknowledge', alarmId },
              from: 'watch',
              done: `Acknowledged: ${title}`,
              stay: true,
            })
          }
        >
          Acknowledge
        </Button>
      ) : null}
      {alarm.state === 'latched' ? <ClearButton alarm={alarm} /> : null}
      {boardHolds ? <AskBoardButton alarmId={alarmId} /> : null}
    </div>
  );
}

const titleOf = (alarmId: AlarmView['alarmId']): string =>
  status.value?.alarms.find((alarm) => alarm.alarmId === alarmId)?.title ?? alarmId;

function AlarmCard({ alarm, open }: { alarm: AlarmView; open: boolean }) {
  const u = unit.value;
  const fresh = wantsAcknowledge(alarm);
  const age = ageText((controllerMs.value ?? alarm.sinceMs) - alarm.sinceMs);
  return (
    <article
      class={`alarm ${alarm.priority}${fresh ? ' fresh' : ''}`}
      data-test={`alarm-${alarm.alarmId}`}
      data-state={alarm.state}
      data-priority={alarm.priority}
      data-active={alarm.active}
    >
      <div class="alarm-head">
        <Mark priority={alarm.priority} flashing={fresh} />
        <div>
          <h2>{localText(alarm.title, u)}</h2>
          <p class="alarm-state" data-test="alarm-state">
            {PRIORITY_WORDS[alarm.priority].text}, for {age}; {STATE_WORDS[alarm.state]}
            {alarm.acknowledgedBy && alarm.state !== 'latched' ? ` by ${alarm.acknowledgedBy}` : ''}
            {alarm.state !== 'latched'
              ? ''
              : alarm.active
                ? '; the cause still stands'
                : '; the cause is gone'}
          </p>
        </div>
      </div>
      {alarm.becauseOf ? (
        <p class="alarm-state" data-test="alarm-because">
          Follows from: {titleOf(alarm.becauseOf)}
        </p>
      ) : null}
      <p data-test="alarm-detail">{localText(alarm.detail, u)}</p>
      <p class="do" data-test="alarm-action">
        <b>Do this:</b> {localText(alarm.action, u)}
      </p>
      <AlarmButtons alarm={alarm} />
      <details open={open}>
        <summary>Why, and what follows</summary>
        <dl>
          <dt>Cause</dt>
          <dd data-test="alarm-cause">{localText(alarm.cause, u)}</dd>
          <dt>If nothing is done</dt>
          <dd data-test="alarm-consequence">{localText(alarm.consequence, u)}</dd>
        </dl>
        {alarm.priority === 'high' ? null : (
          <Button test={`shelve-${alarm.alarmId}`} onPress={() => go('shelve', alarm.alarmId)}>
            Shelve it for a time…
          </Button>
        )}
      </details>
    </article>
  );
}

/** Every standing alarm, the most pressing first and open. */
export function Alarms() {
  const list = alarms.value;
  const aside = setAside(status.value?.alarms ?? []);
  return (
    <section class="alarms" aria-label="Alarms" data-test="alarms" data-count={list.length}>
      {list.map((alarm, i) => (
        <AlarmCard key={alarm.alarmId} alarm={alarm} open={i === 0 && wantsAcknowledge(alarm)} />
      ))}
      {soundingNow.value ? (
        <Button test="quiet" disabled={quiet.value} onPress={beQuiet}>
          {quiet.value ? 'This phone is quiet for two minutes' : 'Quiet this phone for two minutes'}
        </Button>
      ) : null}
      {aside.length > 0 ? (
        <div class="row" data-test="set-aside">
          <p class="help">
            Not heard: {aside.map((alarm) => `${alarm.title} (${asideText(alarm)})`).join('; ')}
          </p>
          <Button test="go-aside" onPress={() => go('alarm-list')}>
            See or bring back…
          </Button>
        </div>
      ) : null}
    </section>
  );
}

import { useEffect } from 'preact/hooks';
import '../../styles/reach.css';
import type { AlarmEntry } from '../../../../shared/wire/alarm.ts';
import { status } from '../../state/bath.ts';
import { busy, run } from '../../state/errand.ts';
import { unit } from '../../state/prefs.ts';
import { go } from '../../state/view.ts';
import { asideText, PRIORITY_WORDS, STATE_WORDS } from '../../words/alarms.ts';
import { localText } from '../../words/temperature.ts';
import { Mark } from '../alarm.tsx';
import { Button, Page, TroubleOf } from '../parts.tsx';
import { entries, failed, fetchEntries, standingOf } from './table.ts';

/** Every alarm of the controller with its state in words, and what may be done with it. */
export function AlarmList() {
  useEffect(() => void fetchEntries(), []);
  const all = entries.value ?? [];
  const awake = all.filter((entry) => standingOf(entry.alarmId) !== null);
  const rest = all.filter((entry) => standingOf(entry.alarmId) === null);
  return (
    <Page test="alarm-list-page" title="All alarms">
      <TroubleOf view="alarm-list" />
      {failed.value ? (
        <div class="trouble" role="alert">
          <strong>Not shown.</strong> The table of alarms did not come from the controller.
          <Button test="alarm-list-again" onPress={() => void fetchEntries()}>
            Try again
          </Button>
        </div>
      ) : null}
      {entries.value === null && !failed.value ? <p>Fetching the table of alarms…</p> : null}
      {all.length > 0 ? (
        <>
          <h2>Not at rest ({awake.length})</h2>
          {awake.length === 0 ? <p>Every alarm is at rest.</p> : null}
          {awake.map((entry) => (
            <Row key={entry.alarmId} entry={entry} />
          ))}
          <details class="at-rest">
            <summary data-test="at-rest">At rest ({rest.length})</summary>
            {rest.map((entry) => (
              <Row key={entry.alarmId} entry={entry} />
            ))}
          </details>
        </>
      ) : null}
    </Page>
  );
}

function stateText(entry: AlarmEntry): string {
  const alarm = standingOf(entry.alarmId);
  if (alarm === null) return 'Normal';
  if (alarm.aside !== null) return sentence(asideText(alarm));
  const by = alarm.acknowledgedBy === null ? '' : ` by ${alarm.acknowledgedBy}`;
  return sentence(`${STATE_WORDS[alarm.state]}${by}`);
}

const sentence = (text: string): string => text.charAt(0).toUpperCase() + text.slice(1);

function Row({ entry }: { entry: AlarmEntry }) {
  const { alarmId, title, priority } = entry;
  const alarm = standingOf(alarmId);
  const u = unit.value;
  return (
    <article class="alarm-row" data-test={`row-${alarmId}`} data-state={alarm?.state ?? 'normal'}>
      <div class="alarm-head">
        <Mark priority={priority} flashing={false} />
        <div>
          <h3>{localText(title, u)}</h3>
          <p data-test="row-state">{localText(stateText(entry), u)}</p>
          <p class="alarm-state">{PRIORITY_WORDS[priority].text}</p>
        </div>
      </div>
      <Deeds entry={entry} />
      <details>
        <summary>What it is about</summary>
        <p>{localText(entry.cause, u)}</p>
        <p>If nothing is done: {localText(entry.consequence, u)}</p>
        <p>
          What to do: {localText(entry.action, u)} Within {minutesText(entry.respondS)}.
        </p>
      </details>
    </article>
  );
}

const minutesText = (seconds: number): string => `${Math.round(seconds / 60)} minutes`;

function Deeds({ entry }: { entry: AlarmEntry }) {
  const { alarmId, title, shelveMostMin, mayLeaveService } = entry;
  const state = standingOf(alarmId)?.state;
  if (state === 'shelved' || state === 'out-of-service') {
    const kind = state === 'shelved' ? 'unshelve' : 'in-service';
    const order = { kind, alarmId } as const;
    return (
      <Button
        test={`back-${alarmId}`}
        strong
        disabled={busy.value}
        onPress={() => run({ order, from: 'alarm-list', done: `Heard again: ${title}`, stay: true })}
      >
        Let it be heard again
      </Button>
    );
  }
  if (shelveMostMin === 0 && !mayLeaveService) return null;
  return (
    <Button
      test={`go-shelve-${alarmId}`}
      disabled={status.value === null}
      onPress={() => go('shelve', alarmId)}
    >
      Shelve{mayLeaveService ? ' or take out of service' : ''}…
    </Button>
  );
}

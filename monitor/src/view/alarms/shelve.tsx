import { type Signal, useSignal } from '@preact/signals';
import { useEffect } from 'preact/hooks';
import '../../styles/reach.css';
import type { AlarmEntry } from '../../../../shared/wire/alarm.ts';
import type { Order } from '../../command/send.ts';
import { run } from '../../state/errand.ts';
import { unit } from '../../state/prefs.ts';
import { view } from '../../state/view.ts';
import { numberFault, parseNumber } from '../../words/number.ts';
import { localText } from '../../words/temperature.ts';
import { Button, Choice, NumberField, Page, Submit, TextField, Tick, TroubleOf } from '../parts.tsx';
import { entries, failed, fetchEntries, standingOf } from './table.ts';

type How = 'time' | 'once' | 'service';

/** Shelving an alarm, or taking it out of service: for how long, why, and with its consequence read. */
export function ShelveForm() {
  useEffect(() => void fetchEntries(), []);
  const entry = entries.value?.find((one) => one.alarmId === view.value.bagId);
  if (entry) return <Form entry={entry} />;
  return (
    <Page test="shelve-page" title="Shelve an alarm">
      {failed.value ? (
        <Button test="shelve-again" onPress={() => void fetchEntries()}>
          The table of alarms did not come. Try again
        </Button>
      ) : (
        <p>{entries.value === null ? 'Fetching the table of alarms…' : 'There is no such alarm.'}</p>
      )}
    </Page>
  );
}

function waysOf({ alarmId, shelveMostMin, mayLeaveService }: AlarmEntry) {
  const active = standingOf(alarmId)?.active === true;
  return [
    ...(shelveMostMin > 0
      ? [{ value: 'time' as How, text: 'For a time', hint: `at most ${shelveMostMin} minutes` }]
      : []),
    ...(shelveMostMin > 0 && active
      ? [{ value: 'once' as How, text: 'Until its cause has gone once', hint: `or ${shelveMostMin} minutes` }]
      : []),
    ...(mayLeaveService
      ? [{ value: 'service' as How, text: 'Out of service', hint: 'until somebody puts it back' }]
      : []),
  ];
}

function Form({ entry }: { entry: AlarmEntry }) {
  const ways = waysOf(entry);
  const how = useSignal<How>(ways[0]?.value ?? 'time');
  const minutes = useSignal(String(Math.min(20, entry.shelveMostMin)));
  const reason = useSignal('');
  const read = useSignal(false);
  if (ways.length === 0) return <Never entry={entry} />;
  const fault = how.value === 'time' ? numberFault(minutes.value, 1, entry.shelveMostMin, 'min') : null;
  const why = fault ?? missing(reason.value, read.value);
  const order = orderOf(entry, how.value, parseNumber(minutes.value), reason.value.trim());
  return (
    <Page test="shelve-page" title={`Shelve: ${localText(entry.title, unit.value)}`}>
      <Choice name="shelve-how" legend="How long" value={how.value} options={ways} onChange={into(how)} />
      {how.value === 'time' ? <Minutes minutes={minutes} most={entry.shelveMostMin} /> : null}
      <TextField
        id="shelve-reason"
        label="Why (it stands in the record with your phone’s name)"
        value={reason.value}
        maxLength={120}
        onChange={into(reason)}
      />
      <Consequence entry={entry} />
      <Tick id="shelve-read" checked={read.value} onChange={into(read)}>
        I have read what may follow, and I look at the bath myself
      </Tick>
      <TroubleOf view="shelve" />
      <Submit
        test="shelve-submit"
        ready={why === null}
        why={why ?? undefined}
        onPress={() => send(entry, order)}
      >
        {how.value === 'service' ? 'Take it out of service' : 'Shelve it'}
      </Submit>
    </Page>
  );
}

const into =
  <T,>(place: Signal<T>) =>
  (value: T): void => {
    place.value = value;
  };

function send({ alarmId, title }: AlarmEntry, order: Order): void {
  void run({
    order,
    from: 'shelve',
    bagId: alarmId,
    done: `Not heard for now: ${title}`,
    to: { name: 'alarm-list', id: null },
  });
}

function Never({ entry }: { entry: AlarmEntry }) {
  return (
    <Page test="shelve-page" title={localText(entry.title, unit.value)}>
      <p data-test="never-shelved">
        This alarm is never shelved. Acknowledge it: then it is silent while its cause stands, and rings again
        should it come back.
      </p>
    </Page>
  );
}

function Minutes({ minutes, most }: { minutes: Signal<string>; most: number }) {
  return (
    <NumberField
      id="shelve-minutes"
      label="Time"
      unitText="min"
      value={minutes.value}
      step={5}
      min={1}
      max={most}
      onChange={into(minutes)}
    />
  );
}

function Consequence({ entry }: { entry: AlarmEntry }) {
  return (
    <div class="consequence" data-test="consequence">
      <p>Meanwhile nobody hears it: no sound, no call, on any phone.</p>
      <p>
        What may follow unheard: <b>{localText(entry.consequence, unit.value)}</b>
      </p>
      <p>It is still computed and listed, and what holds the heat back holds it back all the same.</p>
    </div>
  );
}

function missing(reason: string, read: boolean): string | null {
  if (reason.trim().length < 3) return 'Say why, in a few words.';
  return read ? null : 'Read what may follow, and tick that you have.';
}

function orderOf({ alarmId, shelveMostMin }: AlarmEntry, how: How, minutes: number, reason: string): Order {
  if (how === 'service') return { kind: 'out-of-service', alarmId, reason, confirmed: true };
  const untilCleared = how === 'once';
  const most = untilCleared ? shelveMostMin : Math.round(minutes);
  return { kind: 'shelve', alarmId, minutes: most, untilCleared, reason, confirmed: true };
}

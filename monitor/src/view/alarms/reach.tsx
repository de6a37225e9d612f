import { useSignal } from '@preact/signals';
import { useEffect } from 'preact/hooks';
import '../../styles/reach.css';
import { type ReachView, reachViewSchema } from '../../../../shared/wire/reach-view.ts';
import { ask, post, type Trouble } from '../../command/send.ts';
import { status } from '../../state/bath.ts';
import { busy, run } from '../../state/errand.ts';
import { whenText } from '../../words/clock.ts';
import { channelText, rowText } from '../../words/reach.ts';
import { Button, Page, TextField, TroubleBox, TroubleOf } from '../parts.tsx';
import { PushHere } from './push.tsx';
import { entries, fetchEntries, titleOf } from './table.ts';

const LOOK_EVERY_MS = 3000;

/** Who is called by what, whether that works, a test whose answer counts, and every delivery. */
export function ReachPage() {
  const reach = useSignal<ReachView | null>(null);
  const lacks = useSignal<Trouble | null>(null);
  const look = async () => {
    const outcome = await ask('GET', '/api/reach');
    const parsed = outcome.ok ? reachViewSchema.safeParse(outcome.answer) : null;
    if (parsed?.success) reach.value = parsed.data;
    lacks.value = outcome.ok ? null : outcome.trouble;
  };
  useEffect(() => {
    void look();
    if (entries.value === null) void fetchEntries();
    const timer = setInterval(() => void look(), LOOK_EVERY_MS);
    return () => clearInterval(timer);
  }, []);
  const now = reach.value;
  return (
    <Page test="reach-page" title="Can I be reached?">
      {lacks.value === null ? null : <Lacking trouble={lacks.value} />}
      <TroubleOf view="reach" />
      {now === null ? null : (
        <>
          <People reach={now} onSent={look} />
          <Answer onAnswered={look} />
          <PushHere people={now.people} />
          <Sounder sounder={now.sounder} onDone={look} />
          <Heartbeat heartbeat={now.heartbeat} />
          <Log log={now.log} />
        </>
      )}
    </Page>
  );
}

function Lacking({ trouble }: { trouble: Trouble }) {
  if (trouble.code !== 'not-found') return <TroubleBox trouble={trouble} />;
  return (
    <p data-test="reach-demo">
      In demo time nobody outside is called: an hour of it would ring a real phone sixty times a minute. Start
      the controller without a speed to try this.
    </p>
  );
}

const nowMs = (): number => status.value?.wallMs ?? Date.now();

function People({ reach: { people }, onSent }: { reach: ReachView; onSent: () => Promise<void> }) {
  if (people.length === 0) {
    return (
      <p data-test="reach-nobody">
        Nobody is named in the configuration: an alarm is heard on open pages and on the rig’s own sounder,
        and nowhere else. Name people and their ways under <code>reach</code> in bathkeeper.json.
      </p>
    );
  }
  const send = (personId: string, channelId: string, channel: string) =>
    run({
      order: null,
      send: () => post('/api/reach/test', { personId, channelId }),
      from: 'reach',
      done: `A test is on its way by ${channel}.`,
      stay: true,
      after: () => void onSent(),
    });
  return (
    <>
      {people.map(({ personId, person, quietNow, channels }) => (
        <section key={personId} class="person" data-test={`person-${personId}`}>
          <h2>{person}</h2>
          {quietNow ? <p class="help">Quiet hours now: only high priority calls at once.</p> : null}
          {channels.map((one) => (
            <div key={one.channelId} class="way" data-test="way" data-failing={one.failing !== null}>
              <p>
                <b>{one.channel}</b>
              </p>
              <p class={one.failing ? 'warn' : ''} data-test="way-state">
                {channelText(one, nowMs())}
              </p>
              <Button
                test={`test-${one.channelId}`}
                disabled={busy.value}
                onPress={() => send(personId, one.channelId, one.channel)}
              >
                Send a test
              </Button>
            </div>
          ))}
        </section>
      ))}
    </>
  );
}

/** The code of a test that came: entered here it is proof, and counts for leaving the cook alone. */
function Answer({ onAnswered }: { onAnswered: () => Promise<void> }) {
  const code = useSignal('');
  const answeredMs = status.value?.attendance.alarmTestAnsweredMs ?? null;
  return (
    <section>
      <h2>Answer a test</h2>
      <p data-test="answered" data-answered={answeredMs !== null}>
        {answeredMs === null
          ? 'No test was answered yet. Leaving a cook alone needs one within the last 12 hours.'
          : `Last answered at ${whenText(answeredMs, nowMs())}. It counts for 12 hours.`}
      </p>
      <TextField
        id="answer-code"
        label="Code of the test that came"
        value={code.value}
        maxLength={40}
        onChange={(text) => {
          code.value = text;
        }}
      />
      <Button
        test="answer-send"
        strong
        disabled={busy.value || code.value.trim() === ''}
        onPress={() =>
          run({
            order: null,
            send: () => post('/api/reach/answer', { code: code.value.trim() }),
            from: 'reach',
            done: 'Noted: the test reached you.',
            stay: true,
            after: () => {
              code.value = '';
              void onAnswered();
            },
          })
        }
      >
        This test reached me
      </Button>
    </section>
  );
}

function Sounder({ sounder, onDone }: { sounder: ReachView['sounder']; onDone: () => Promise<void> }) {
  const { present, silencedUntilMs } = sounder;
  const deed = (path: string, done: string) =>
    run({
      order: null,
      send: () => post(path, {}),
      from: 'reach',
      done,
      stay: true,
      after: () => void onDone(),
    });
  return (
    <section data-test="sounder" data-present={present}>
      <h2>The rig’s own sounder</h2>
      {present ? (
        <>
          <p>
            {silencedUntilMs === null
              ? 'It sounds for what is so now and nobody has acknowledged. For what has gone by itself it keeps still; people are called all the same.'
              : `Silent until ${whenText(silencedUntilMs, nowMs())} for what rang then. Nothing is acknowledged by that.`}
          </p>
          <div class="row">
            <Button
              test="sounder-test"
              onPress={() => deed('/api/reach/sounder/test', 'It sounds for three seconds.')}
            >
              Hear it
            </Button>
            <Button
              test="sounder-silence"
              onPress={() =>
                deed('/api/reach/sounder/silence', 'Silent for some minutes. Nothing is acknowledged.')
              }
            >
              Silence it for some minutes
            </Button>
          </div>
        </>
      ) : (
        <p>This rig has none. Leave a page open on a phone whose sound is on.</p>
      )}
    </section>
  );
}

function Heartbeat({ heartbeat }: { heartbeat: ReachView['heartbeat'] }) {
  return (
    <section data-test="heartbeat">
      <h2>Sign of life</h2>
      <p>
        {heartbeat === null
          ? 'None is sent: were this controller to die, nobody elsewhere would notice.'
          : heartbeat.lastAcceptedMs === null
            ? `${heartbeat.channel}: none was taken yet.`
            : `${heartbeat.channel}: last taken at ${whenText(heartbeat.lastAcceptedMs, nowMs())}.`}
      </p>
    </section>
  );
}

function Log({ log }: { log: ReachView['log'] }) {
  return (
    <section>
      <h2>Delivery log</h2>
      {log.length === 0 ? <p>Nothing was sent yet.</p> : null}
      <ol class="deliveries" data-test="deliveries" data-count={log.length}>
        {log.toReversed().map((row) => (
          <li key={row.row} data-outcome={row.outcome}>
            <time>{whenText(row.wallMs, nowMs())}</time> {rowText(row, titleOf)}
          </li>
        ))}
      </ol>
    </section>
  );
}

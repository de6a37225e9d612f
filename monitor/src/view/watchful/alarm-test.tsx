import { useSignal } from '@preact/signals';
import { useEffect } from 'preact/hooks';
import { ask } from '../../command/send.ts';
import { trySound } from '../../state/alerting.ts';
import { controllerMs } from '../../state/bath.ts';
import { busy, run } from '../../state/errand.ts';
import { go } from '../../state/view.ts';
import { whenText } from '../../words/clock.ts';
import { Button } from '../parts.tsx';

/** A test of the alarm path counts for twelve hours, once a person has answered it. */
export function AlarmTest({ answeredMs }: { answeredMs: number | null }) {
  /** Whether people outside are called at all; a demo calls nobody. */
  const calls = useSignal(true);
  useEffect(() => {
    ask('GET', '/api/reach').then((outcome) => {
      calls.value = outcome.ok;
    });
  }, []);
  const answered =
    answeredMs === null
      ? 'No test was answered so far.'
      : `A test was last answered at ${whenText(answeredMs, controllerMs.value ?? answeredMs)}.`;
  return (
    <section data-test="alarm-test" data-answered={answeredMs !== null}>
      <h2>Does an alarm reach you?</h2>
      <p data-test="alarm-test-answered">{answered} It counts for 12 hours.</p>
      {calls.value ? (
        <Button test="attendance-reach" onPress={() => go('reach')}>
          Send a test and answer it
        </Button>
      ) : (
        <HeardHere />
      )}
    </section>
  );
}

/** Where nobody outside is called, as in a demo: the sound of this phone is the alarm path. */
function HeardHere() {
  const sounded = useSignal(false);
  return (
    <div class="row">
      <Button
        test="test-sound"
        onPress={() => {
          trySound();
          sounded.value = true;
        }}
      >
        Sound an alarm on this phone
      </Button>
      {sounded.value ? (
        <Button
          test="test-heard"
          strong
          disabled={busy.value}
          onPress={() =>
            run({
              order: { kind: 'answer-alarm-test' },
              from: 'attendance',
              done: 'Noted: the test was answered.',
              stay: true,
            })
          }
        >
          I heard it
        </Button>
      ) : null}
    </div>
  );
}

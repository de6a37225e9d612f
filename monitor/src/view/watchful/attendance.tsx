import '../../styles/watchful.css';
import { useSignal } from '@preact/signals';
import type { Status } from '../../../../shared/wire/status.ts';
import { controllerMs, cookRunning, status } from '../../state/bath.ts';
import { busy, run } from '../../state/errand.ts';
import { unit } from '../../state/prefs.ts';
import { go } from '../../state/view.ts';
import { ageText } from '../../words/reading.ts';
import { localText } from '../../words/temperature.ts';
import { Button, Page, Submit, Tick, TroubleOf } from '../parts.tsx';
import { AlarmTest } from './alarm-test.tsx';

type Attendance = Status['attendance'];

/** Whether this cook may be left alone, what that lacks and how to mend each, and the sign of presence. */
export function AttendancePage() {
  const now = status.value;
  if (!now) return null;
  const { attendance } = now;
  return (
    <Page test="attendance-page" title="Attended or alone">
      <Present attendance={attendance} />
      <TroubleOf view="attendance" />
      <Lacks attendance={attendance} />
      <AlarmTest answeredMs={attendance.alarmTestAnsweredMs} />
      <Leave attendance={attendance} />
      <p class="help">A quiet page is no proof that all is well.</p>
      <Button test="go-cannot-see" onPress={() => go('cannot-see')}>
        What this rig cannot see
      </Button>
    </Page>
  );
}

/** Who is with the cook now, and when the next sign is due. */
function Present({ attendance: { unattended, lacks, signDueMs } }: { attendance: Attendance }) {
  const left = signDueMs === null ? null : signDueMs - (controllerMs.value ?? signDueMs);
  const alone = unattended && lacks.length === 0;
  return (
    <section data-test="present" data-unattended={unattended}>
      <p class="next">
        {alone
          ? 'This cook is left alone. Nothing that this needs is missing.'
          : 'Somebody must stay with this cook.'}
      </p>
      {left === null ? (
        alone ? null : (
          <p class="help">No sign is asked for now.</p>
        )
      ) : (
        <p data-test="sign-due">
          {left > 0
            ? `Give a sign within ${ageText(left)}, or the heat stops.`
            : 'Nobody gave a sign in time: the heat has stopped.'}
        </p>
      )}
      <Button
        test="here"
        strong={left !== null}
        disabled={busy.value}
        onPress={() =>
          run({ order: { kind: 'here' }, from: 'attendance', done: 'Noted: you are there.', stay: true })
        }
      >
        I am here
      </Button>
    </section>
  );
}

/** What leaving it alone lacks, each with how to mend it. */
function Lacks({ attendance: { lacks } }: { attendance: Attendance }) {
  if (lacks.length === 0) return null;
  return (
    <section data-test="lacks" data-count={lacks.length}>
      <h2>
        {lacks.length === 1
          ? 'One thing is missing to leave it alone'
          : `${lacks.length} things are missing to leave it alone`}
      </h2>
      <ol class="lacks">
        {lacks.map(({ id, text, action }) => (
          <li key={id} data-test={`lack-${id}`}>
            <b>{localText(text, unit.value)}</b>
            <span>{localText(action, unit.value)}</span>
          </li>
        ))}
      </ol>
    </section>
  );
}

const CONSEQUENCE =
  'I know that nobody will be asked for a sign. The controller, the board and the cut-out are all that watches, and some faults none of them can see. Local rules on unattended heating come first.';

/** Leaving the cook alone, or staying with it again. */
function Leave({ attendance: { unattended, lacks } }: { attendance: Attendance }) {
  const known = useSignal(false);
  const order = { kind: 'set-attendance' as const, unattended: !unattended };
  if (unattended)
    return (
      <Button
        test="stay"
        strong
        disabled={busy.value}
        onPress={() =>
          run({ order, from: 'attendance', done: 'Noted: somebody stays with this cook.', stay: true })
        }
      >
        Somebody stays with it again
      </Button>
    );
  if (lacks.length > 0 || !cookRunning.value) return null;
  return (
    <section>
      <h2>Leave this cook alone</h2>
      <Tick
        id="alone-tick"
        checked={known.value}
        onChange={(checked) => {
          known.value = checked;
        }}
      >
        {CONSEQUENCE}
      </Tick>
      <Submit
        test="leave-alone"
        ready={known.value}
        why="Read what follows and tick it."
        onPress={() =>
          run({ order, from: 'attendance', done: 'Noted: this cook is left alone.', stay: true })
        }
      >
        Leave it alone
      </Submit>
    </section>
  );
}

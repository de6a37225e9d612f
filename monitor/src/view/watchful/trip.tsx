import '../../styles/watchful.css';
import { status } from '../../state/bath.ts';
import { unit } from '../../state/prefs.ts';
import { whenText } from '../../words/clock.ts';
import { localText } from '../../words/temperature.ts';
import { causeWords, sawExpected } from '../../words/trip.ts';

/** Heat latched off: the first cause with when, what was seen, what was expected, what to do, and what is left to clear. */
export function Trip() {
  const trip = status.value?.trip;
  if (!trip) return null;
  const u = unit.value;
  const { saw, expected } = sawExpected(trip.detail);
  return (
    <section class="trip" data-test="trip" data-cause={trip.alarmId} aria-label="Trip">
      <h2>Heat has tripped and stays off</h2>
      <p class="trip-first">
        First cause,{' '}
        <span data-test="trip-when">{whenText(trip.atMs, status.value?.wallMs ?? trip.atMs)}</span>:{' '}
        <b data-test="trip-cause">{localText(trip.title, u)}</b>
      </p>
      <dl>
        <dt>Seen</dt>
        <dd data-test="trip-saw">{localText(saw, u)}</dd>
        {expected ? (
          <>
            <dt>Expected</dt>
            <dd data-test="trip-expected">{localText(expected, u)}</dd>
          </>
        ) : null}
        <dt>Do this</dt>
        <dd data-test="trip-action">{localText(trip.action, u)}</dd>
      </dl>
      <h3>Before heat can return</h3>
      <ul class="trip-causes">
        {trip.causes.map((cause) => (
          <li key={cause.alarmId} data-test={`trip-cause-${cause.alarmId}`} data-active={cause.active}>
            <b>{localText(cause.title, u)}</b>: {causeWords(cause)}.
          </li>
        ))}
      </ul>
    </section>
  );
}

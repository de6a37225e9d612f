import { bagsIn, cookRunning, events, installation, status } from '../state/bath.ts';
import { busy, dismissTrouble, run, trouble } from '../state/errand.ts';
import { unit } from '../state/prefs.ts';
import { go, view } from '../state/view.ts';
import { clockText } from '../words/clock.ts';
import { localText } from '../words/temperature.ts';
import { Button } from './parts.tsx';
import { ExportLinks } from './past.tsx';

/** Always in reach, on every view: stops the heat at one touch; anyone may. */
export function StopBar() {
  const stopped = status.value?.heat.stopped === true;
  return (
    <nav class="stop-bar" aria-label="Heat">
      <button
        type="button"
        class={stopped ? 'stop stopped' : 'stop'}
        data-test="stop-heat"
        data-stopped={stopped}
        onClick={() =>
          run({ order: { kind: 'stop-heat' }, from: view.value.name, done: 'Heat is stopped.', stay: true })
        }
      >
        <span class="stop-sign" aria-hidden="true" />
        {stopped ? 'Heat is stopped' : 'Stop heat'}
      </button>
      {stopped && view.value.name !== 'allow-heat' ? (
        <Button test="go-allow-heat" onPress={() => go('allow-heat')}>
          Allow again…
        </Button>
      ) : null}
    </nav>
  );
}

/** What a cook does in the course of a cook. */
export function Actions() {
  if (!cookRunning.value) return null;
  const full = bagsIn.value.length >= 8;
  return (
    <section class="actions" aria-label="Actions">
      <Button test="go-bag-in" disabled={full || busy.value} onPress={() => go('bag-in')}>
        {full ? 'Eight bags are in' : 'Bag in…'}
      </Button>
      <Button test="go-setpoint" onPress={() => go('setpoint')}>
        Setpoint…
      </Button>
      <Button test="go-topped-up" onPress={() => go('topped-up')}>
        Topped up…
      </Button>
      <Button test="go-end-cook" onPress={() => go('end-cook')}>
        End cook…
      </Button>
    </section>
  );
}

/** What happened, newest first. */
export function Happened() {
  // Calls have a list of their own, where they do not push out everything else.
  const told = events.value.filter((row) => row.kind !== 'delivery');
  const rows = told.slice(-40).reverse();
  if (rows.length === 0) return null;
  return (
    <details class="happened" data-test="happened">
      <summary>What happened ({told.length})</summary>
      <ol>
        {rows.map((row) => (
          <li key={`${row.sequence}/${row.kind}/${row.text}`} data-kind={row.kind}>
            <time>{clockText(row.wallMs, true)}</time> {localText(row.text, unit.value)}
          </li>
        ))}
      </ol>
    </details>
  );
}

/** Downloads of the cook in view, and the ways to the other views. */
export function Foot() {
  const cook = status.value?.cook;
  const simulated = installation.value !== null && installation.value.rigKind !== 'usb';
  return (
    <section class="foot" aria-label="Record and settings">
      {cook ? (
        <div>
          <h2>Record of this cook</h2>
          <ExportLinks cookId={cook.cookId} />
        </div>
      ) : null}
      <div class="ways">
        <Button test="go-past" onPress={() => go('past')}>
          All records
        </Button>
        <Button test="go-reach" onPress={() => go('reach')}>
          Can I be reached?
        </Button>
        <Button test="go-alarm-list" onPress={() => go('alarm-list')}>
          All alarms
        </Button>
        <Button test="go-phone" onPress={() => go('phone')}>
          This phone, °C or °F
        </Button>
        <Button test="go-cautions" onPress={() => go('cautions')}>
          Cautions
        </Button>
        <Button test="go-cannot-see" onPress={() => go('cannot-see')}>
          What this rig cannot see
        </Button>
        <Button test="go-how" onPress={() => go('how')}>
          How it knows
        </Button>
        {simulated ? (
          <Button test="go-plant" onPress={() => go('plant')}>
            Simulated bath
          </Button>
        ) : null}
      </div>
      <p class="help">
        Bathkeeper {installation.value?.codeVersion ?? ''}. An aid, not a safety device: look at the bath
        yourself.
      </p>
    </section>
  );
}

/** Refusals that belong to no form. */
export function WatchTrouble() {
  const now = trouble.value;
  return now?.view === 'watch' ? (
    <Button test="trouble-close" onPress={dismissTrouble}>
      Understood
    </Button>
  ) : null;
}

import type { CookStage, Status } from '../../../shared/wire/status.ts';
import {
  bagsIn,
  bathSteady,
  chooseBag,
  contact,
  controllerMs,
  cookRunning,
  link,
  nowMs,
  reading,
  status,
} from '../state/bath.ts';
import { planAtHand } from '../state/plan-at-hand.ts';
import { unit } from '../state/prefs.ts';
import { go } from '../state/view.ts';
import { heatWords } from '../words/heat.ts';
import { ageText, type ReadingView } from '../words/reading.ts';
import { cookAge, nextStep, STAGE_WORDS } from '../words/stage.ts';
import { summaryOf } from '../words/summary.ts';
import { besideText, inUnit, type TemperatureUnit } from '../words/temperature.ts';
import { Button } from './parts.tsx';
import { Strip, StripScale } from './scale.tsx';

/** Where the cook is, and the next thing to do, in large words. */
export function Stage() {
  const now = status.value;
  if (!now) return null;
  const { cook } = now;
  const ended = !cook || cook.endedAtMs !== null;
  const words = ended ? 'No cook is running' : STAGE_WORDS[cook.stage];
  const title = contact.value === 'lost' ? `When last heard: ${words.toLowerCase()}` : words;
  return (
    <section class="stage" data-test="stage" data-stage={ended ? 'none' : cook.stage}>
      <h1>{title}</h1>
      {ended ? null : (
        <p class="cook-name" data-test="cook-name" data-cook={cook.cookId}>
          {cook.name}, {cookAge(now)} so far
        </p>
      )}
      <p class="next" data-test="next">
        {nextStep(now, unit.value)}
      </p>
      <NextButton stage={ended ? 'none' : cook.stage} stopped={now.heat.stopped} />
      {ended ? null : <AllBags />}
    </section>
  );
}

/** The food at a glance. A broken rule is a way to its bag. */
function AllBags() {
  const summary = summaryOf(bagsIn.value, unit.value, controllerMs.value ?? 0, bathSteady.value);
  if (!summary) return null;
  const { safety, brokenBagId, ready } = summary;
  const show = (bagId: string) => {
    chooseBag(bagId);
    document.querySelector(`[data-bag="${CSS.escape(bagId)}"]`)?.scrollIntoView({ block: 'start' });
  };
  return (
    <div class="summary" data-test="summary">
      {brokenBagId === null ? (
        <p data-test="summary-safety">{safety}</p>
      ) : (
        <button type="button" class="broken-link" data-test="go-broken" onClick={() => show(brokenBagId)}>
          <span class="broken-sign" aria-hidden="true">
            ✕
          </span>
          <b data-test="summary-safety">{safety}</b>
        </button>
      )}
      {ready ? <p data-test="summary-ready">{ready}</p> : null}
    </div>
  );
}

/** The deed that the stage calls for, within reach; nothing where there is nothing to do. */
function NextButton({ stage, stopped }: { stage: CookStage | 'none'; stopped: boolean }) {
  if (stage === 'none') {
    return (
      <Button test="go-start" strong onPress={() => go('start')}>
        Start a cook
      </Button>
    );
  }
  if (stage === 'ready-for-food' && !stopped) {
    if (planAtHand.value !== null) return <PlannedBags />;
    return (
      <Button test="next-bag-in" strong onPress={() => go('bag-in')}>
        Bag in…
      </Button>
    );
  }
  if (stage === 'taken-out') {
    return (
      <Button test="next-end-cook" strong onPress={() => go('end-cook')}>
        End the cook…
      </Button>
    );
  }
  return null;
}

/** The bags of the plan stand below, each with a button of its own. */
function PlannedBags() {
  return (
    <Button
      test="next-planned-bags"
      strong
      onPress={() => {
        const bags = document.querySelector('.plan-bags');
        if (bags) bags.scrollIntoView({ block: 'start' });
        else go('bag-in');
      }}
    >
      Bag in, as planned
    </Button>
  );
}

/** How the bath stands to its setpoint, in words. */
function standingText(view: ReadingView, now: Status, u: TemperatureUnit): string {
  if (view.celsius === null) return '';
  if (now.setpointC === null) return 'No setpoint';
  const beside = `${besideText(view.celsius, now.setpointC, u)} the setpoint`.replace(/^at/, 'At');
  const { bandC } = now;
  const asItShould =
    !now.heat.stopped && bandC !== null && view.celsius >= bandC.lowC && view.celsius <= bandC.highC;
  return asItShould ? `${beside}: as it should be` : beside;
}

/** The bath temperature at arm's length, with its age and quality in words. */
export function Bath() {
  const now = status.value;
  const view = reading.value;
  if (!now || !view) return null;
  const u = unit.value;
  const number = view.celsius === null ? '—' : inUnit(view.celsius, u).toFixed(1);
  const beside = view.current ? standingText(view, now, u) : '';
  return (
    <section class="bath" data-test="bath" data-current={view.current} data-quality={now.bath.quality}>
      <h2>Bath</h2>
      <p class={view.current ? 'big' : 'big stale'}>
        <span data-test="bath-number" data-celsius={view.celsius ?? ''}>
          {number}
        </span>
        <span class="big-unit">°{u}</span>
        {view.current ? null : <span class="old-word">{view.celsius === null ? 'no reading' : 'old'}</span>}
      </p>
      <p class="reading-words" data-test="reading-words">
        {view.words}
      </p>
      {beside ? <p class="beside">{beside}</p> : null}
      <Strip
        atC={view.celsius}
        faded={!view.current}
        marked
        summary={`Bath ${number} °${u}. ${beside || view.words}`}
      />
      <StripScale />
      <Heat now={now} faded={contact.value === 'lost'} />
    </section>
  );
}

/** Whether heat is granted, how much, and why or why not. */
function Heat({ now, faded }: { now: Status; faded: boolean }) {
  const { heat } = now;
  const percent = Math.round(heat.duty * 100);
  const { word, why, circuit } = heatWords(now, unit.value);
  return (
    <div class={faded ? 'heat stale' : 'heat'} data-test="heat" data-granted={heat.granted}>
      <div class="heat-bar" aria-hidden="true">
        <div class="heat-fill" style={{ width: `${percent}%` }} />
      </div>
      <p>
        <b data-test="heat-word">{word}</b>: <span data-test="heat-reason">{why}</span>.
        {circuit ? ` ${circuit}` : ''}
      </p>
    </div>
  );
}

/** The full "not connected" state. What was last known stays below, grey and with its age. */
export function NotConnected({ onRetry }: { onRetry: () => void }) {
  if (contact.value !== 'lost') return null;
  const { heardAtMs, nextTryAtMs, fault } = link.value;
  const wait = nextTryAtMs === null ? null : Math.max(0, nextTryAtMs - nowMs.value);
  return (
    <section class="lost" data-test="not-connected" aria-label="Connection">
      <h1>Not connected</h1>
      <p class="lost-lead">
        {heardAtMs === null
          ? 'Nothing has been heard from the controller yet.'
          : `Nothing heard from the controller for ${ageText(nowMs.value - heardAtMs)}. What is below is old.`}
      </p>
      <p>
        {cookRunning.value ? 'The controller goes on by itself, but no alarm reaches this phone. ' : ''}
        If you cannot reconnect, go and look at the bath.
      </p>
      {fault ? (
        <p class="help" data-test="link-fault">
          {fault}
        </p>
      ) : null}
      <Button test="try-now" strong onPress={onRetry}>
        {wait === null || wait < 1000 ? 'Trying…' : `Try now (by itself in ${ageText(wait)})`}
      </Button>
    </section>
  );
}

import type { BagView, LethalityView, VerdictView } from '../../../../shared/wire/status.ts';
import { controllerMs } from '../../state/bath.ts';
import { unit } from '../../state/prefs.ts';
import { whenText } from '../../words/clock.ts';
import { ENDPOINT_WORDS, FORK_WORDS } from '../../words/forecast.ts';
import { lethalityWords, standardName } from '../../words/lethality.ts';
import { LIES_WORDS, ruleText, statusWord, verdictText } from '../../words/safety.ts';
import { localText, temperatureText } from '../../words/temperature.ts';

function Cautions({ of }: { of: VerdictView | undefined }) {
  if (!of || of.cautions.length === 0) return null;
  return (
    <>
      {of.cautions.map((caution) => (
        <p key={caution} class="help">
          Mind: {localText(caution, unit.value)}
        </p>
      ))}
    </>
  );
}

function Standard({ view, verdict }: { view: LethalityView; verdict: VerdictView | undefined }) {
  const words = lethalityWords(view, unit.value, controllerMs.value ?? 0);
  return (
    <li data-test="standard" data-standard={view.standardId}>
      <p>
        {localText(standardName(view), unit.value)}: <b>{words.word}</b>
      </p>
      {words.dwell ? <p>As worded: {words.dwell}.</p> : null}
      <p>As an equivalent: {words.equivalent}.</p>
      <p class="help">Source: {view.source}.</p>
      <Cautions of={verdict} />
    </li>
  );
}

function Limit({ verdict, bag }: { verdict: VerdictView; bag: BagView }) {
  const u = unit.value;
  const { rule, source } = ruleText(verdict);
  return (
    <li data-test="verdict" data-status={verdict.status}>
      <p>
        <b>{statusWord(verdict, bag)}:</b> {localText(rule, u)}
      </p>
      <p>{localText(verdictText(verdict), u)}</p>
      {verdict.asks ? <p>What it asks: {localText(verdict.asks, u)}</p> : null}
      {source ? <p class="help">Source: {source}.</p> : null}
      <Cautions of={verdict} />
    </li>
  );
}

function Tenderness({ bag }: { bag: BagView }) {
  const { tender, moisturePercent: juice } = bag;
  const now = controllerMs.value ?? 0;
  return (
    <>
      {tender ? (
        <p>
          Softening so far, modelled: as much as {tender.equivalentHoursAt70C.toFixed(1)} h at{' '}
          {temperatureText(70, unit.value, 0)} would give. Wanted: {ENDPOINT_WORDS[bag.endpoint].adjective}.
        </p>
      ) : null}
      {juice ? (
        <p data-test="moisture">
          Juice lost so far, modelled, a rough band: {Math.round(juice.low)} to {Math.round(juice.high)} % of
          the raw weight, middle {Math.round(juice.middle)} %.
        </p>
      ) : null}
      {tender ? <p>{tender.forkTests.length === 0 ? 'No fork test so far.' : 'Fork tests so far:'}</p> : null}
      {tender && tender.forkTests.length > 0 ? (
        <ul data-test="fork-tests">
          {tender.forkTests.map((test) => (
            <li key={test.atMs}>
              {whenText(test.atMs, now)}: {FORK_WORDS[test.answer].text.toLowerCase()}, by {test.by}
            </li>
          ))}
        </ul>
      ) : null}
    </>
  );
}

/** Every verdict with its rule, source and cautions, and the figures behind: one touch further. */
export function BagDetails({ bag }: { bag: BagView }) {
  const u = unit.value;
  const ofStandard = (name: string) => bag.verdicts.find((verdict) => verdict.rule === name);
  const limits = bag.verdicts.filter(({ rule }) => !bag.lethality.some((one) => one.standard === rule));
  return (
    <details class="bag-details" data-test="bag-details">
      <summary>Every rule and figure</summary>
      <h3>Limits and growth</h3>
      <ul class="rules">
        {limits.map((verdict) => (
          <Limit key={`${verdict.rule}/${verdict.words}`} verdict={verdict} bag={bag} />
        ))}
      </ul>
      <h3>Lethality standards, on the core that was heated least</h3>
      <ul class="rules">
        {bag.lethality.map((view) => (
          <Standard key={view.standardId} view={view} verdict={ofStandard(view.standard)} />
        ))}
      </ul>
      <h3>Tenderness and juice</h3>
      <Tenderness bag={bag} />
      <h3>As it was described</h3>
      <p>
        {bag.cutName}, {bag.thicknessMm} mm thick, shape {bag.beta.toFixed(2)} (0 flat, 1 long, 2 ball),{' '}
        {bag.massKg === null ? 'not weighed' : `${bag.massKg} kg`}, {temperatureText(bag.startC, u)} as it
        went in. {LIES_WORDS[bag.lies].text}.
      </p>
    </details>
  );
}

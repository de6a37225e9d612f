import { bagsOut, controllerMs } from '../../state/bath.ts';
import { unit } from '../../state/prefs.ts';
import { go } from '../../state/view.ts';
import { chillHeadline, nextText, storageText } from '../../words/chill.ts';
import { whenText } from '../../words/clock.ts';
import { ruleText, verdictText } from '../../words/safety.ts';
import { localText, temperatureText } from '../../words/temperature.ts';
import { Button } from '../parts.tsx';

/** The cooling of a bag: what was read, what is asked next and by when, each rule, and how long it may be kept. */
export function Chill({ bagId }: { bagId: string }) {
  const bag = bagsOut.value.find((one) => one.bagId === bagId);
  if (!bag?.chill) return null;
  const { chill } = bag;
  const u = unit.value;
  const now = controllerMs.value ?? 0;
  const open = chill.endedAtMs === null;
  const next = nextText(chill, u, now);
  const late = chill.next !== null && chill.next.dueAtMs <= now;
  const rules = bag.verdicts.filter(
    ({ words, status }) => words.startsWith('Cooling') && status !== 'broken',
  );
  return (
    <div class="chill" data-test="chill" data-open={open}>
      <h3>{chillHeadline(chill, now)}</h3>
      {next ? (
        <p class={late ? 'warn' : 'chill-next'} data-test="chill-next" data-late={late}>
          {next}.
        </p>
      ) : null}
      <p data-test="chill-readings">
        {chill.readings.length === 0
          ? 'No core reading yet. Without readings a rule cannot be shown to be kept.'
          : `Core, read by hand: ${chill.readings
              .slice(-4)
              .map(({ atMs, celsius }) => `${temperatureText(celsius, u)} at ${whenText(atMs, now)}`)
              .join(', ')}.`}
      </p>
      {rules.map((verdict) => (
        <p key={verdict.rule} data-test="cooling-rule" data-status={verdict.status}>
          <b>{verdict.status === 'kept' ? 'Kept' : verdict.status === 'unknown' ? 'Not kept' : 'Not yet'}:</b>{' '}
          {localText(verdictText(verdict), u)}{' '}
          <small>
            Rule: {localText(ruleText(verdict).rule, u)}. Judged by the readings alone, worst case between.
          </small>
        </p>
      ))}
      <p data-test="storage" data-until={chill.storage.untilMs}>
        {localText(storageText(chill, now), u)}
      </p>
      {chill.storage.conditions.length > 0 ? (
        <p class="help">On condition: {localText(chill.storage.conditions.join('; '), u)}.</p>
      ) : null}
      <p class="help">
        {chill.storage.rule}. Source: {chill.storage.source}.
      </p>
      {open ? (
        <div class="bag-actions">
          <Button test={`core-${bag.bagId}`} onPress={() => go('core-reading', bag.bagId)}>
            Core reading…
          </Button>
          <Button test={`end-chill-${bag.bagId}`} onPress={() => go('end-chill', bag.bagId)}>
            Put away…
          </Button>
        </div>
      ) : null}
    </div>
  );
}

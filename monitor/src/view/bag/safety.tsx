import type { BagView } from '../../../../shared/wire/status.ts';
import { controllerMs } from '../../state/bath.ts';
import { unit } from '../../state/prefs.ts';
import { LIES_WORDS, ruleText, safetyWords, verdictText } from '../../words/safety.ts';
import { localText } from '../../words/temperature.ts';

/** Whether a rule is broken, first of all; each with what its text asks. `brief` keeps to the headline. */
export function Safety({ bag, brief }: { bag: BagView; brief: boolean }) {
  const u = unit.value;
  const safety = safetyWords(bag, u, controllerMs.value ?? 0);
  const isBroken = safety.state === 'broken';
  return (
    <div class={isBroken ? 'safety broken' : 'safety'} data-test="safety" data-state={safety.state}>
      <p class="safety-head">
        {isBroken ? (
          <span class="broken-sign" aria-hidden="true">
            ✕
          </span>
        ) : null}
        <b>{safety.headline}</b>
      </p>
      {safety.broken.map((verdict) => {
        const { rule, source } = ruleText(verdict);
        return (
          <div key={verdict.rule} class="broken-rule" data-test="broken-rule">
            <p>{localText(verdictText(verdict), u)}</p>
            {brief ? null : (
              <>
                {verdict.asks ? (
                  <p data-test="asks">
                    <b>What it asks:</b> {localText(verdict.asks, u)}
                  </p>
                ) : null}
                <p class="help">
                  Rule: {localText(rule, u)}.{source ? ` Source: ${source}.` : ''}
                </p>
              </>
            )}
          </div>
        );
      })}
      {brief ? null : (
        <p class="help">Modelled, on the worst case of each rule; the person in charge decides.</p>
      )}
    </div>
  );
}

/** A bag that is not wholly under the water, and what follows from it. */
export function Lies({ bag }: { bag: BagView }) {
  if (bag.lies === 'under') return null;
  const { text, consequence } = LIES_WORDS[bag.lies];
  return (
    <p class="warn" data-test="lies" data-lies={bag.lies}>
      <b>{text}.</b> {consequence} Weigh it down, then say so here.
    </p>
  );
}

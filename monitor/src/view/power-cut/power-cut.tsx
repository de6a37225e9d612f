import '../../styles/power-cut.css';
import { durationText } from '../../../../shared/units/duration.ts';
import type { OutageView } from '../../../../shared/wire/outage.ts';
import { status } from '../../state/bath.ts';
import { unit } from '../../state/prefs.ts';
import { whenText } from '../../words/clock.ts';
import { localText, temperatureText } from '../../words/temperature.ts';
import { BagDecision } from './bag-decision.tsx';

/** After a restart with food in: how long nobody watched, what it did, and what becomes of each bag. */
export function PowerCut() {
  const outage = status.value?.outage;
  if (!outage) return null;
  const waiting = outage.bags.filter((bag) => bag.decision === null && !bag.out).length;
  return (
    <section class="power-cut" data-test="power-cut" aria-label="Power cut">
      <h2>The power was out</h2>
      {outage.mixingS === null ? (
        <Known outage={outage} />
      ) : (
        <Mixing outage={outage} seconds={outage.mixingS} />
      )}
      {outage.log ? <Lost log={outage.log} /> : null}
      {waiting > 0 ? (
        <p class="power-cut-ask" data-test="power-cut-waiting">
          {waiting === 1 ? 'One bag waits for a decision.' : `${waiting} bags wait for a decision.`}
        </p>
      ) : null}
      {outage.bags.map((bag) => (
        <BagDecision key={bag.bagId} bag={bag} />
      ))}
    </section>
  );
}

function Mixing({ outage, seconds }: { outage: OutageView; seconds: number }) {
  return (
    <div data-test="power-cut-mixing">
      <p class="power-cut-big">{durationText(seconds)}</p>
      <p>
        The water is being mixed, then measured: how far it fell tells how long it was. Heat waits until then.
        It was at {temperatureText(outage.water.beforeC, unit.value)} when the power went.
      </p>
    </div>
  );
}

function Known({ outage }: { outage: OutageView }) {
  const { length, water } = outage;
  const now = status.value?.wallMs ?? outage.restartMs;
  if (!length) return null;
  return (
    <div>
      <p class="power-cut-big" data-test="power-cut-length">
        {durationText(length.countsS)}
      </p>
      <p class="power-cut-span" data-test="power-cut-span">
        {spanText(length.lowS, length.highS)}seen again {whenText(outage.restartMs, now)}
      </p>
      {length.disagree ? (
        <p class="power-cut-differ" data-test="power-cut-differ">
          <b>Clock and water disagree: the longer counts.</b>
        </p>
      ) : null}
      <p data-test="power-cut-words">{localText(length.words, unit.value)}</p>
      <p>
        Water: {temperatureText(water.beforeC, unit.value)} when the power went,{' '}
        <b data-test="power-cut-after">
          {water.afterC === null ? 'not measured' : temperatureText(water.afterC, unit.value)}
        </b>{' '}
        when it came back.
      </p>
    </div>
  );
}

/** Bounds that read the same say nothing. */
function spanText(lowS: number, highS: number): string {
  const [low, high] = [durationText(lowS), durationText(highS)];
  return low === high ? '' : `between ${low} and ${high}; `;
}

function Lost({ log }: { log: NonNullable<OutageView['log']> }) {
  const now = status.value?.wallMs ?? 0;
  const span =
    log.fromMs === null || log.toMs === null
      ? 'Since when cannot be told.'
      : `From ${whenText(log.fromMs, now)} to ${whenText(log.toMs, now)}.`;
  const seconds = log.rows === null ? 'Some seconds' : durationText(log.rows);
  const { title, seen } = lostWords(log, seconds, span);
  const stopped = log.unsoundAfter !== undefined && status.value?.heat.stopped === true;
  return (
    <div class="power-cut-lost" data-test="power-cut-lost">
      <h3>{title}</h3>
      <p>{seen} Is everything that is in the bath on this page, as it is? Enter what is missing.</p>
      {stopped ? <p>Heat is stopped: look at the bath, then allow it.</p> : null}
    </div>
  );
}

/** What was found of the record, and what follows for the food. */
function lostWords(log: NonNullable<OutageView['log']>, seconds: string, span: string) {
  if (log.what === 'unproved')
    return {
      title: 'The record may lack its end',
      seen: 'What says how far it must reach is gone. Food is credited with nothing since the last second on record.',
    };
  if (log.what !== 'altered')
    return {
      title: 'Part of the record is lost',
      seen: `${seconds} of the record cannot be read any more, and food is credited with nothing for them. ${span}`,
    };
  return log.unsoundAfter === undefined
    ? { title: 'A row of the record was changed', seen: 'Nothing of what is told here rests on it.' }
    : {
        title: 'Part of the record was changed',
        seen: `Nothing shows that the last ${seconds} of the record are what was recorded. Food is credited with nothing for them, growth is counted at its worst. ${span}`,
      };
}

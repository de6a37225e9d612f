import type { BagView, LethalityView } from '../../../../shared/wire/status.ts';
import { controllerMs } from '../../state/bath.ts';
import { unit } from '../../state/prefs.ts';
import { lethalityWords, standardName } from '../../words/lethality.ts';
import { comeUpWords, growthWords } from '../../words/safety.ts';
import { localText } from '../../words/temperature.ts';

/** A bar that says what it shows. */
export function Progress({ share, label, full }: { share: number; label: string; full: boolean }) {
  return (
    <div class="progress" role="img" aria-label={label}>
      <div class={full ? 'progress-fill met' : 'progress-fill'} style={{ width: `${share * 100}%` }} />
    </div>
  );
}

/** Progress under one standard: as it words it, and as an equivalent. `brief` keeps to the bar and the answer. */
export function Lethality({ view, brief }: { view: LethalityView; brief: boolean }) {
  const words = lethalityWords(view, unit.value, controllerMs.value ?? 0);
  const met = words.state === 'met';
  const lead = localText(standardName(view), unit.value);
  return (
    <div class="lethality" data-test="lethality" data-met={met} data-log10={view.log10}>
      {words.share === null ? null : (
        <Progress share={words.share} label={`${lead}: ${words.word}`} full={met} />
      )}
      <p>
        {brief ? view.organism : lead}: <b data-test="lethality-word">{words.word}</b>
        {words.due && brief ? <span data-test="lethality-due">, {words.due}</span> : null}
      </p>
      {brief ? null : (
        <dl class="facts">
          {words.due ? (
            <>
              <dt>Will be met</dt>
              <dd data-test="lethality-due">{words.due}</dd>
            </>
          ) : null}
          {words.dwell ? (
            <>
              <dt>As worded</dt>
              <dd data-test="dwell">{words.dwell}</dd>
            </>
          ) : null}
          <dt>As an equivalent</dt>
          <dd data-test="equivalent">{words.equivalent}, summed along the core</dd>
        </dl>
      )}
    </div>
  );
}

/** The clocks that run against the cook: time in the warm, and what may grow meanwhile. */
export function Clocks({ bag }: { bag: BagView }) {
  const comeUp = comeUpWords(bag, controllerMs.value ?? 0);
  return (
    <div class="clocks">
      <p>
        Come-up: <span data-test="come-up">{comeUp.text}</span>
      </p>
      {bag.comeUp.doneAtMs === null ? (
        <Progress share={comeUp.share} label={`Come-up: ${comeUp.text}`} full={false} />
      ) : null}
      <p>
        Growth of <span data-test="growth">{growthWords(bag)}</span>
      </p>
    </div>
  );
}

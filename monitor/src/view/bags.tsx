import { durationText } from '../../../shared/units/duration.ts';
import type { BagView, LethalityView } from '../../../shared/wire/status.ts';
import { bagsIn, bagsOut, chooseBag, chosenBagId, contact, cookRunning, status } from '../state/bath.ts';
import { unit } from '../state/prefs.ts';
import { go } from '../state/view.ts';
import { clockText } from '../words/clock.ts';
import { temperatureText } from '../words/temperature.ts';
import { Button } from './parts.tsx';
import { Strip } from './scale.tsx';

/** Progress under the standard: a bar, the count, and when it was met. */
function Lethality({ view, open }: { view: LethalityView; open: boolean }) {
  const share = Math.min(1, view.log10 / view.targetLog10);
  const met = view.metAtMs !== null;
  const target = view.targetLog10.toFixed(1);
  // Beyond the target the model's number says nothing more of the food.
  const count = met
    ? `${view.organism}: ${target} log10 reached`
    : `${view.organism}: ${Math.min(view.log10, 2 * view.targetLog10).toFixed(1)} of ${target} log10`;
  const word = met ? `met at ${clockText(view.metAtMs!)}` : 'not met yet';
  return (
    <div class="lethality" data-test="lethality" data-met={met} data-log10={view.log10}>
      <div class="progress" role="img" aria-label={`${count}, ${word}`}>
        <div class={met ? 'progress-fill met' : 'progress-fill'} style={{ width: `${share * 100}%` }} />
      </div>
      <p>
        {count}, <b data-test="lethality-word">{word}</b>
      </p>
      {open ? (
        <p class="help">
          Judged on the coldest case of the model, not measured. Rule: {view.standard}. Source: {view.source}.
        </p>
      ) : null}
    </div>
  );
}

function bagAge(bag: BagView): string {
  const end = bag.outAtMs ?? status.value?.wallMs ?? bag.inAtMs;
  return durationText((end - bag.inAtMs) / 1000);
}

/** One bag: where its core stands, on the same scale as the bath. Touch it to see it in the chart. */
function BagCard({ bag }: { bag: BagView }) {
  const u = unit.value;
  const open = chosenBagId.value === bag.bagId;
  const faded = contact.value === 'lost';
  const span = `${temperatureText(bag.coldC, u)} to ${temperatureText(bag.hotC, u)}`;
  return (
    <article class={open ? 'bag open' : 'bag'} data-test="bag" data-bag={bag.bagId} data-label={bag.label}>
      <button
        type="button"
        class="bag-face"
        aria-pressed={open}
        data-test={`choose-${bag.bagId}`}
        onClick={() => chooseBag(bag.bagId)}
      >
        <span class="bag-name">
          {bag.label}
          <small>
            {bag.cutName}, {bag.thicknessMm} mm, in for {bagAge(bag)}
            {bag.assumed ? ', assumed because nobody answered' : ''}
          </small>
        </span>
        <span class={faded ? 'bag-core stale' : 'bag-core'}>
          <span data-test="core" data-celsius={bag.coreC}>
            {temperatureText(bag.coreC, u)}
          </span>
          <small>core, modelled</small>
        </span>
      </button>
      <Strip
        atC={bag.coreC}
        spanC={[bag.coldC, bag.hotC]}
        faded={faded}
        summary={`Core ${temperatureText(bag.coreC, u)}, between ${span}`}
      />
      {open ? <p class="span-words">Between {span}, coldest to hottest case.</p> : null}
      {bag.lethality ? (
        <Lethality view={bag.lethality} open={open} />
      ) : (
        <p class="help" data-test="no-standard">
          No lethality standard for this cut.
        </p>
      )}
      {open && cookRunning.value ? (
        <div class="row">
          <Button test={`edit-${bag.bagId}`} onPress={() => go('bag-edit', bag.bagId)}>
            Correct it
          </Button>
          <Button test={`out-${bag.bagId}`} onPress={() => go('bag-out', bag.bagId)}>
            Bag out
          </Button>
        </div>
      ) : null}
    </article>
  );
}

/** The bags in the bath, and those already taken out. */
export function Bags() {
  const inside = bagsIn.value;
  const outside = bagsOut.value;
  if (!status.value?.cook) return null;
  return (
    <section class="bags" data-test="bags" data-count={inside.length}>
      <h2>{inside.length === 0 ? 'No bag in the bath' : 'In the bath'}</h2>
      {inside.map((bag) => (
        <BagCard key={bag.bagId} bag={bag} />
      ))}
      {outside.length === 0 ? null : (
        <ul class="outside" data-test="bags-out">
          {outside.map((bag) => (
            <li key={bag.bagId}>
              {bag.label}: out at {clockText(bag.outAtMs ?? 0)} after {bagAge(bag)}
              {bag.lethality
                ? `, ${bag.lethality.standard}: ${bag.lethality.metAtMs === null ? 'not met' : 'met'}`
                : ''}
            </li>
          ))}
        </ul>
      )}
    </section>
  );
}

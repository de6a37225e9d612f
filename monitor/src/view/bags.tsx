import { durationText } from '../../../shared/units/duration.ts';
import type { BagView } from '../../../shared/wire/status.ts';
import {
  bagsIn,
  bagsOut,
  chooseBag,
  chosenBagId,
  contact,
  controllerMs,
  cookRunning,
  installation,
  status,
} from '../state/bath.ts';
import { unit } from '../state/prefs.ts';
import { go } from '../state/view.ts';
import { whenText } from '../words/clock.ts';
import { safetyWords } from '../words/safety.ts';
import { temperatureText } from '../words/temperature.ts';
import { Core } from './bag/core.tsx';
import { BagDetails } from './bag/details.tsx';
import { Clocks, Lethality } from './bag/lethality.tsx';
import { Ready } from './bag/ready.tsx';
import { Lies, Safety } from './bag/safety.tsx';
import { Lazy } from './lazy.tsx';
import { Button } from './parts.tsx';

function bagAge(bag: BagView): string {
  const end = bag.outAtMs ?? status.value?.wallMs ?? bag.inAtMs;
  return durationText((end - bag.inAtMs) / 1000);
}

function Face({ bag, open }: { bag: BagView; open: boolean }) {
  return (
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
      <span class={contact.value === 'lost' ? 'bag-core stale' : 'bag-core'}>
        <span data-test="core" data-celsius={bag.coreC}>
          {temperatureText(bag.coreC, unit.value)}
        </span>
        <small>core, modelled</small>
      </span>
    </button>
  );
}

/** One bag. Closed it keeps to one line an answer; touched, it opens and the chart draws its core. */
function BagCard({ bag }: { bag: BagView }) {
  const open = chosenBagId.value === bag.bagId;
  const [primary] = bag.lethality;
  return (
    <article class={open ? 'bag open' : 'bag'} data-test="bag" data-bag={bag.bagId} data-label={bag.label}>
      <Face bag={bag} open={open} />
      {open || bag.verdicts.some((verdict) => verdict.status === 'broken') ? (
        <Safety bag={bag} brief={!open} />
      ) : null}
      <Lies bag={bag} />
      <Core bag={bag} brief={!open} />
      <Ready tender={bag.tender} brief={!open} />
      {open ? <h3>Lethality</h3> : null}
      {primary ? (
        <Lethality view={primary} brief={!open} />
      ) : (
        <p class="help" data-test="no-standard">
          No lethality standard for this cut.
        </p>
      )}
      {open ? <Clocks bag={bag} /> : null}
      {open && cookRunning.value ? <BagActions bag={bag} /> : null}
      {open ? <BagDetails bag={bag} /> : null}
    </article>
  );
}

function BagActions({ bag }: { bag: BagView }) {
  const { bagId } = bag;
  return (
    <div class="bag-actions">
      {bag.tender ? (
        <Button test={`fork-${bagId}`} onPress={() => go('fork-test', bagId)}>
          Fork test…
        </Button>
      ) : null}
      <Button test={`lies-${bagId}`} onPress={() => go('bag-lies', bagId)}>
        How it lies…
      </Button>
      {bag.measured ? (
        <Button test={`cold-spot-${bagId}`} onPress={() => go('cold-spot', bagId)}>
          Cold spot found…
        </Button>
      ) : null}
      <Button test={`core-${bagId}`} onPress={() => go('core-reading', bagId)}>
        Core reading…
      </Button>
      <Button test={`edit-${bagId}`} onPress={() => go('bag-edit', bagId)}>
        Correct it…
      </Button>
      <Button test={`out-${bagId}`} onPress={() => go('bag-out', bagId)}>
        Bag out…
      </Button>
    </div>
  );
}

/** Fetched when a bag is chilled. */
const chillOf = (bagId: string) =>
  import('./bag/chill.tsx').then(({ Chill }) => () => <Chill bagId={bagId} />);

function OutsideBag({ bag }: { bag: BagView }) {
  const now = controllerMs.value ?? 0;
  const safety = safetyWords(bag, unit.value, now);
  return (
    <li>
      <p>
        {bag.label}: out at {whenText(bag.outAtMs ?? 0, now)} after {bagAge(bag)}
      </p>
      <Safety bag={bag} brief={safety.state !== 'broken'} />
      {bag.chill ? <Lazy key={bag.bagId} load={() => chillOf(bag.bagId)} /> : null}
      <BagDetails bag={bag} />
    </li>
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
            <OutsideBag key={bag.bagId} bag={bag} />
          ))}
        </ul>
      )}
      <p class="help" data-test="profile">
        Judged by the local profile “{installation.value?.profile}”.
      </p>
    </section>
  );
}

import { signal } from '@preact/signals';
import { plannedBags } from '../../../shared/plan/start.ts';
import type { BagSpec } from '../../../shared/wire/command.ts';
import { status } from '../state/bath.ts';
import { run } from '../state/errand.ts';
import { unit } from '../state/prefs.ts';
import { view } from '../state/view.ts';
import { NumberField, Submit } from '../view/parts.tsx';
import { parseNumber } from '../words/number.ts';
import { temperatureText } from '../words/temperature.ts';
import { lengthUnit, massText, mmOf, thicknessField } from './measures.ts';
import { mass, stored } from './state.ts';

/** Thickness as measured, by bag; empty: as planned. */
const measured = signal<Readonly<Record<string, string>>>({});

/** Bags of the plan that are not in yet, ready to be entered with one touch each. */
export function BagsToGo({ planId }: { planId: string }) {
  const kept = stored.value;
  const now = status.value;
  if (!kept || kept.planId !== planId || !now) return null;
  const known = new Set(now.bags.map((bag) => bag.bagId));
  const waiting = plannedBags(kept).filter((bag) => !known.has(bag.bagId));
  if (waiting.length === 0) return null;
  const hot = now.cook !== null && now.cook.stage !== 'heating';
  return (
    <div class="plan-bags" data-test="plan-bags" data-hot={hot}>
      <h3>{hot ? 'Now the food' : 'When the bath is hot'}</h3>
      {hot ? (
        <p>Measure each filled bag at its thickest, put it in, then touch its button.</p>
      ) : (
        <p>
          {waiting.length === 1 ? 'One bag waits' : `${waiting.length} bags wait`} in the fridge. No food goes
          into a bath that is still heating.
        </p>
      )}
      {hot
        ? waiting.map(({ cure: _cure, ...bag }) => <OneBag key={bag.bagId} bag={bag} planId={planId} />)
        : null}
    </div>
  );
}

function OneBag({ bag, planId }: { bag: BagSpec; planId: string }) {
  const text = measured.value[bag.bagId] ?? thicknessField(bag.thicknessMm, mass.value);
  const thicknessMm = mmOf(parseNumber(text), mass.value);
  const ready = thicknessMm >= 5 && thicknessMm <= 200;
  const inches = mass.value === 'lb';
  const here = view.value.name === 'plan';
  return (
    <div class="plan-bag" data-test="plan-bag" data-bag={bag.bagId}>
      <p>
        <b>{bag.label}</b>, {bag.massKg === null ? '' : `${massText(bag.massKg, mass.value)}, `}from{' '}
        {temperatureText(bag.startC, unit.value, 0)}
      </p>
      <NumberField
        id={`plan-thick-${bag.bagId}`}
        label="Thickness"
        unitText={lengthUnit(mass.value)}
        value={text}
        step={inches ? 0.1 : 2}
        min={inches ? 0.2 : 5}
        max={inches ? 7.8 : 200}
        decimals={inches ? 1 : 0}
        help="As planned until you measure it."
        onChange={(value) => {
          measured.value = { ...measured.value, [bag.bagId]: value };
        }}
      />
      <Submit
        test={`plan-bag-in-${bag.bagId}`}
        ready={ready}
        why="A thickness that will do is missing."
        onPress={() =>
          void run({
            order: { kind: 'bag-in', bag: { ...bag, thicknessMm }, agoS: 0 },
            from: here ? 'plan' : 'watch',
            bagId: here ? planId : null,
            done: `${bag.label} is in.`,
            to: here ? { name: 'plan', id: planId } : { name: 'watch', id: null },
          })
        }
      >
        It is in the bath
      </Submit>
    </div>
  );
}

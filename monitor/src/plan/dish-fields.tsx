import { type Cut, cutById, cuts } from '../../../shared/food/cuts.ts';
import { completeDish } from '../../../shared/plan/complete-dish.ts';
import type { Default } from '../../../shared/plan/types.ts';
import { unit } from '../state/prefs.ts';
import { Button, Choice, NumberField } from '../view/parts.tsx';
import { ENDPOINT_WORDS } from '../words/forecast.ts';
import { parseNumber } from '../words/number.ts';
import { localText } from '../words/temperature.ts';
import { Nitrite, Spices } from './cure-extras.tsx';
import type { DishDraft } from './draft.ts';
import {
  kgOf,
  lengthUnit,
  MASS_UNITS,
  type MassUnit,
  massText,
  thicknessField,
  thicknessText,
} from './measures.ts';
import { draft, takeMass, type, typeDish } from './state.ts';

/** Steps and bounds of a weight in each unit. */
const WEIGHT: Record<MassUnit, { step: number; min: number; max: number; decimals: number; usual: number }> =
  {
    g: { step: 50, min: 20, max: 100_000, decimals: 0, usual: 1000 },
    kg: { step: 0.1, min: 0.02, max: 100, decimals: 1, usual: 1.5 },
    lb: { step: 0.25, min: 0.05, max: 220, decimals: 2, usual: 3 },
  };

/** Tough cuts first: they are what a bath is for. Vegetables have no model of readiness, so they are not offered. */
const OFFERED = cuts.filter((cut) => cut.family !== 'vegetable');
const KINDS = [...new Set(OFFERED.map((cut) => cut.species))];

function CutOptions() {
  const option = (cut: Cut) => (
    <option key={cut.id} value={cut.id}>
      {cut.name}
    </option>
  );
  return (
    <>
      {KINDS.map((kind) => (
        <optgroup key={kind} label={kind.replace('-', ' ')}>
          {OFFERED.filter((cut) => cut.species === kind).map(option)}
        </optgroup>
      ))}
    </>
  );
}

interface DishProps {
  readonly dish: DishDraft;
  /** Null where there is only one. */
  readonly number: number | null;
}

/** One dish: what and how much, and the rest as usual until somebody says otherwise. */
export function DishFields({ dish, number }: DishProps) {
  const nth = number === null || number === 1 ? '' : `-${number}`;
  const change = (part: Partial<DishDraft>) => typeDish(dish.key, part);
  const { dishes, mass } = draft.value;
  return (
    <section
      class="plan-dish"
      aria-label={number === null ? 'Dish' : `Dish ${number}`}
      data-test={`plan-dish${nth}`}
    >
      {number === null ? null : <h2>Dish {number}</h2>}
      <div class="field">
        <label for={`plan-cut${nth}`}>What</label>
        <select
          id={`plan-cut${nth}`}
          data-test={`plan-cut${nth}`}
          value={dish.cutId}
          onChange={(event) => change({ cutId: event.currentTarget.value })}
        >
          {dish.cutId === '' ? <option value="">Choose the cut…</option> : null}
          <CutOptions />
        </select>
      </div>
      <NumberField
        id={`plan-mass${nth}`}
        label="How much, raw"
        unitText={draft.value.people.trim() === '' ? mass : `${mass}, if known`}
        value={dish.mass}
        {...WEIGHT[mass]}
        help="All pieces together."
        optional={draft.value.people.trim() !== ''}
        onChange={(value) => change({ mass: value })}
      />
      <MassUnits nth={nth} />
      {dish.cutId === '' ? null : <AsUsual dish={dish} nth={nth} />}
      {dishes.length > 1 ? (
        <Button
          test={`plan-remove${nth}`}
          onPress={() => type({ dishes: dishes.filter((one) => one.key !== dish.key) })}
        >
          Leave dish {number} out
        </Button>
      ) : null}
    </section>
  );
}

/** In what the scale of this kitchen shows. */
function MassUnits({ nth }: { nth: string }) {
  const { mass } = draft.value;
  if (nth !== '') return null;
  return (
    <fieldset class="plan-units" aria-label="Weights in">
      {MASS_UNITS.map((one) => (
        <Button key={one} test={`plan-unit-${one}`} pressed={one === mass} onPress={() => takeMass(one)}>
          {one}
        </Button>
      ))}
    </fieldset>
  );
}

/** What is taken where nobody says, in one line that opens. */
function AsUsual({ dish, nth }: { dish: DishDraft; nth: string }) {
  const change = (part: Partial<DishDraft>) => typeDish(dish.key, part);
  const cut = cutById(dish.cutId);
  if (!cut) return null;
  const { mass } = draft.value;
  return (
    <details class="plan-usual" data-test={`plan-usual${nth}`}>
      <summary>
        <b>As usual:</b> {usualLine(dish, cut)}
      </summary>
      <div class="plan-fold">
        {cut.notes ? <p class="help">{localText(cut.notes, unit.value)}</p> : null}
        <NumberField
          id={`plan-thickness${nth}`}
          label="Thickness of the filled bag"
          unitText={lengthUnit(mass)}
          value={dish.thickness}
          step={mass === 'lb' ? 0.25 : 5}
          min={mass === 'lb' ? 0.2 : 5}
          max={mass === 'lb' ? 7.8 : 200}
          decimals={mass === 'lb' ? 2 : 0}
          optional
          usual={Number(thicknessField(cut.typicalThicknessMm, mass))}
          help={`At its thickest, as it lies. It decides the time more than anything else: measure it. Left empty: ${thicknessText(cut.typicalThicknessMm, mass)} at most, usual for the cut.`}
          onChange={(thickness) => change({ thickness })}
        />
        <NumberField
          id={`plan-pieces${nth}`}
          label="Bags"
          unitText="one piece each"
          value={dish.pieces}
          step={1}
          min={1}
          max={8}
          optional
          usual={1}
          help="Left empty: so many that no bag is too heavy to handle."
          onChange={(pieces) => change({ pieces })}
        />
        {cut.tendernessClass === null ? null : <Endpoint dish={dish} nth={nth} />}
        <CureFields dish={dish} nth={nth} />
      </div>
    </details>
  );
}

function Endpoint({ dish, nth }: { dish: DishDraft; nth: string }) {
  return (
    <Choice
      name={`plan-endpoint${nth}`}
      legend="Wanted of the dish"
      value={dish.endpoint === 'usual' ? 'fork-tender' : dish.endpoint}
      options={(['sliceable', 'fork-tender', 'shreds'] as const).map((value) => ({
        value,
        ...ENDPOINT_WORDS[value],
      }))}
      onChange={(endpoint) => typeDish(dish.key, { endpoint })}
    />
  );
}

function CureFields({ dish, nth }: { dish: DishDraft; nth: string }) {
  const change = (part: Partial<DishDraft>) => typeDish(dish.key, part);
  return (
    <>
      <Choice
        name={`plan-cure${nth}`}
        legend="Salt beforehand"
        value={dish.cure}
        options={[
          { value: 'usual', text: 'As usual', hint: 'for this food' },
          { value: 'weighed', text: 'Weighed', hint: 'all of it stays; no rinse' },
          { value: 'packed', text: 'Packed in salt', hint: 'for a time, then rinsed' },
          { value: 'none', text: 'None', hint: 'salt it at the table' },
        ]}
        onChange={(cure) => change({ cure })}
      />
      {dish.cure === 'none' ? null : (
        <>
          <NumberField
            id={`plan-salt${nth}`}
            label="Salt"
            unitText="% of the raw weight"
            value={dish.saltPercent}
            step={0.1}
            min={0.1}
            max={6}
            decimals={1}
            optional
            usual={1.5}
            help="1 to 2.5 is usual. Left empty: 1.5."
            onChange={(saltPercent) => change({ saltPercent })}
          />
          <NumberField
            id={`plan-cure-hours${nth}`}
            label="Time in the salt"
            unitText="h"
            value={dish.cureHours}
            step={2}
            min={0}
            max={720}
            optional
            usual={12}
            help="In the fridge. Left empty: 12 h, or what there is time for."
            onChange={(cureHours) => change({ cureHours })}
          />
          <Spices dish={dish} nth={nth} />
          {dish.cure === 'packed' && !dish.nitrite ? null : <Nitrite dish={dish} nth={nth} />}
        </>
      )}
    </>
  );
}

/** What would be taken for granted of a dish, in a line. */
function usualLine(dish: DishDraft, cut: Cut): string {
  const { mass, people, dishes } = draft.value;
  const eaters = parseNumber(people) / dishes.length;
  const weight = parseNumber(dish.mass);
  const found: Default[] = [];
  try {
    const whole = completeDish(
      { cut: dish.cutId, massKg: Number.isFinite(weight) ? kgOf(weight, mass) : undefined },
      0,
      Number.isFinite(eaters) ? eaters : Number.isFinite(weight) ? null : 1,
      4,
      found,
    );
    const said = [
      ...(Number.isFinite(weight) || !Number.isFinite(eaters)
        ? []
        : [massText(whole.pieceKg * whole.piecesCount, mass)]),
      dish.thickness === '' ? `${thicknessText(whole.thicknessMm, mass)} thick` : '',
      dish.pieces === '' && Number.isFinite(weight + 0)
        ? whole.piecesCount === 1
          ? 'one bag'
          : `${whole.piecesCount} bags`
        : '',
      cut.tendernessClass === null ? '' : ENDPOINT_WORDS[endpointOf(dish)].adjective,
      saltLine(dish, whole.cure?.saltPercent ?? null),
    ];
    return `${said.filter((part) => part !== '').join(', ')}.`;
  } catch {
    return 'open to see.';
  }
}

const endpointOf = (dish: DishDraft) => (dish.endpoint === 'usual' ? 'fork-tender' : dish.endpoint);

function saltLine(dish: DishDraft, usual: number | null): string {
  if (dish.cure === 'none') return 'no salt beforehand';
  const percent = dish.saltPercent === '' ? (usual ?? 1.5) : dish.saltPercent;
  if (dish.cure === 'packed') return `packed in salt to ${percent} %`;
  return dish.cure === 'usual' && usual === null ? 'no salt beforehand' : `${percent} % salt overnight`;
}

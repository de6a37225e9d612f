import { AROMATICS } from '../../../shared/cure/aromatics.ts';
import { NITRITE_CAUTIONS } from '../../../shared/cure/nitrite.ts';
import { Choice, NumberField, Tick } from '../view/parts.tsx';
import type { DishDraft } from './draft.ts';
import { typeDish } from './state.ts';

interface ExtrasProps {
  readonly dish: DishDraft;
  readonly nth: string;
}

/** Spices that go on with the salt, by weight, so that the dish can be made again. */
export function Spices({ dish, nth }: ExtrasProps) {
  const { key, spices, spiced } = dish;
  const take = (id: string, on: boolean) =>
    typeDish(key, { spices: on ? [...spices, id] : spices.filter((one) => one !== id) });
  const said = AROMATICS.filter(({ id }) => spices.includes(id)).map(({ name }) => name);
  return (
    <details data-test={`plan-spices${nth}`}>
      <summary>Spices by weight: {said.length === 0 ? 'none' : said.join(', ')}</summary>
      <div class="plan-fold">
        {AROMATICS.map((one) => (
          <Tick
            key={one.id}
            id={`plan-spice-${one.id}${nth}`}
            checked={spices.includes(one.id)}
            onChange={(on) => take(one.id, on)}
          >
            {one.name}
            {one.caution ? <small> {one.caution}</small> : null}
          </Tick>
        ))}
        {spices.length === 0 ? null : (
          <Choice
            name={`plan-spiced${nth}`}
            legend="How strong"
            value={spiced}
            options={[
              { value: 'mild', text: 'Mild' },
              { value: 'usual', text: 'As usual' },
              { value: 'strong', text: 'Strong' },
            ]}
            onChange={(value) => typeDish(key, { spiced: value })}
          />
        )}
      </div>
    </details>
  );
}

/** Curing salt with nitrite: off until somebody asks for it, by weight only; the planner stops hard at the limits. */
export function Nitrite({ dish, nth }: ExtrasProps) {
  const { key, nitrite } = dish;
  return (
    <details data-test={`plan-nitrite${nth}`} data-on={nitrite}>
      <summary>Curing salt with nitrite: {nitrite ? 'asked for' : 'none'}</summary>
      <div class="plan-fold">
        <p>{NITRITE_CAUTIONS[0]}</p>
        <Tick
          id={`plan-nitrite-on${nth}`}
          checked={nitrite}
          onChange={(on) => typeDish(key, { nitrite: on })}
        >
          Plan this dish with it.
        </Tick>
        {nitrite ? (
          <>
            <ul class="plan-cautions">
              {NITRITE_CAUTIONS.slice(1).map((caution) => (
                <li key={caution}>{caution}</li>
              ))}
            </ul>
            <NumberField
              id={`plan-nitrite-grams${nth}`}
              label="Curing salt for the whole dish, weighed"
              unitText="g"
              value={dish.curingSaltG}
              step={0.5}
              min={0.1}
              max={5000}
              decimals={1}
              usual={1}
              onChange={(curingSaltG) => typeDish(key, { curingSaltG })}
            />
            <NumberField
              id={`plan-nitrite-percent${nth}`}
              label="Nitrite in it, as its label says"
              unitText="%"
              value={dish.nitritePercent}
              step={0.05}
              min={0.1}
              max={10}
              decimals={2}
              usual={0.5}
              onChange={(nitritePercent) => typeDish(key, { nitritePercent })}
            />
          </>
        ) : null}
      </div>
    </details>
  );
}

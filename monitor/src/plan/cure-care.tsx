import { useSignal } from '@preact/signals';
import type { Cure as CureFigures } from '../../../shared/cure/cure.ts';
import { calibrateSpoon, SALT_KINDS, saltKind, spoonMeasure } from '../../../shared/cure/salt-kinds.ts';
import type { DishPlan, Plan } from '../../../shared/plan/types.ts';
import { unit } from '../state/prefs.ts';
import { NumberField } from '../view/parts.tsx';
import { parseNumber } from '../words/number.ts';
import { localText } from '../words/temperature.ts';
import { gramsText, thicknessText } from './measures.ts';
import { mass } from './state.ts';
import { tight } from './words.ts';

/** Everything about the salt of one dish, and its bag. */
export function Cure({ plan, dish }: { plan: Plan; dish: DishPlan }) {
  const job = plan.job.dishes.find((one) => one.dishId === dish.dishId);
  if (!job) return null;
  return (
    <section class="plan-dish-care" data-test="plan-dish-care" data-dish={dish.dishId}>
      <h2>{job.name}</h2>
      {dish.cure ? <Salt cure={dish.cure} /> : <p class="help">No salt beforehand.</p>}
      {dish.cure ? <Spoons saltG={dish.cure.saltG} /> : null}
      {dish.cure ? <CuringSalt cure={dish.cure} /> : null}
      <Bagging dish={dish} />
    </section>
  );
}

/** How far the salt goes, in the fridge and then in the bath. */
function Salt({ cure }: { cure: CureFigures }) {
  const u = unit.value;
  const most = Math.max(...cure.profile.flatMap((p) => [p.afterFridgePercent, p.afterBathPercent ?? 0]));
  return (
    <details data-test="plan-salt">
      <summary>How far the salt goes</summary>
      <div class="plan-fold">
        <p>{localText(cure.depth.words, u)}</p>
        <table class="plan-profile">
          <caption>Salt at depths under the face, percent of the meat there</caption>
          <thead>
            <tr>
              <th scope="col">Depth</th>
              <th scope="col">After the fridge</th>
              <th scope="col">After the bath</th>
            </tr>
          </thead>
          <tbody>
            {cure.profile
              .filter((_, i) => i % 2 === 0)
              .map((point) => (
                <tr key={point.depthMm}>
                  <th scope="row">{tight(thicknessText(point.depthMm, mass.value))}</th>
                  <Share value={point.afterFridgePercent} most={most} />
                  <Share value={point.afterBathPercent} most={most} />
                </tr>
              ))}
          </tbody>
        </table>
        <p>{localText(cure.rinse, u)}</p>
        <p>{localText(cure.fridge.words, u)}</p>
        <p class="help">
          {`It loses ${cure.lossLowPercent} to ${cure.lossHighPercent} % of its weight as brine. From: ${cure.sources.join('; ')}.`}
        </p>
      </div>
    </details>
  );
}

function Share({ value, most }: { value: number | null; most: number }) {
  if (value === null) return <td>—</td>;
  return (
    <td>
      <span class="plan-share" aria-hidden="true" style={{ width: `${Math.round((45 * value) / most)}%` }} />
      {value.toFixed(1)}
    </td>
  );
}

/** For a kitchen without a scale: spoons by kind of salt, with the error that a wrong kind makes. */
function Spoons({ saltG }: { saltG: number }) {
  const kind = useSignal('table');
  const five = useSignal('');
  const measure = spoonMeasure(Math.max(0.1, saltG), kind.value);
  return (
    <details data-test="plan-spoons">
      <summary>No scale? By the spoon</summary>
      <div class="plan-fold">
        <div class="field">
          <label for="plan-salt-kind">Which salt</label>
          <select
            id="plan-salt-kind"
            data-test="plan-salt-kind"
            value={kind.value}
            onChange={(event) => {
              kind.value = event.currentTarget.value;
            }}
          >
            {SALT_KINDS.map((one) => (
              <option key={one.id} value={one.id}>
                {one.name}
              </option>
            ))}
          </select>
        </div>
        <p data-test="plan-spoon-words">{measure.words}</p>
        <ul>
          {measure.mistakes.map((one) => (
            <li key={one.kind}>
              {saltKind(one.kind).name} by mistake: {gramsText(one.saltG, mass.value)},{' '}
              {one.errorPercent > 0 ? '+' : '−'}
              {Math.abs(one.errorPercent).toFixed(0)} %
            </li>
          ))}
        </ul>
        <NumberField
          id="plan-five-spoons"
          label="Your own spoon: five level teaspoons weigh"
          unitText="g"
          value={five.value}
          step={1}
          min={5}
          max={60}
          optional
          usual={30}
          help="Level each with a knife."
          onChange={(value) => {
            five.value = value;
          }}
        />
        <OwnSpoon fiveG={parseNumber(five.value)} saltG={saltG} />
        <p class="help">From: {measure.source}.</p>
      </div>
    </details>
  );
}

function OwnSpoon({ fiveG, saltG }: { fiveG: number; saltG: number }) {
  if (!Number.isFinite(fiveG)) return null;
  try {
    const { words, gramsPerTsp } = calibrateSpoon(fiveG);
    return (
      <p data-test="plan-own-spoon">
        {words} Your salt is {(saltG / gramsPerTsp).toFixed(1)} of them.
      </p>
    );
  } catch (error) {
    if (!(error instanceof RangeError)) throw error;
    return <p class="help fault">{error.message}</p>;
  }
}

/** Curing salt as it was planned, where the dish asked for it. */
function CuringSalt({ cure: { nitrite } }: { cure: CureFigures }) {
  if (nitrite === null) return null;
  return (
    <div data-test="plan-nitrite-planned">
      <p>
        <b data-test="plan-nitrite-words">{nitrite.words}</b> It brings {nitrite.saltG.toFixed(1)} g of salt,
        which is taken off the kitchen salt.
      </p>
      <p class="help">From: {nitrite.source}.</p>
    </div>
  );
}

/** Bagging in its steps, with ballast. */
function Bagging({ dish }: { dish: DishPlan }) {
  const u = unit.value;
  return (
    <details data-test="plan-bagging">
      <summary>Bagging, step by step</summary>
      <ol class="plan-fold">
        {dish.bag.steps.map((step) => (
          <li key={step.id}>
            <p>
              <b>{localText(step.title, u)}.</b> {localText(step.how, u)}
            </p>
            <p class="help">{localText(step.why, u)}</p>
          </li>
        ))}
      </ol>
    </details>
  );
}

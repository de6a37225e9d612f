import type { Plan } from '../../../shared/plan/types.ts';
import { unit } from '../state/prefs.ts';
import { localText, temperatureText } from '../words/temperature.ts';
import { litresText } from './measures.ts';
import { mass } from './state.ts';
import { Cautions } from './step-row.tsx';
import { spanText } from './when.ts';

/** What was taken for granted, what to mind, and what the rig does with it. */
export function Given({ plan, tookMs }: { plan: Plan; tookMs: number | null }) {
  const u = unit.value;
  return (
    <section class="plan-given" aria-label="What the plan rests on">
      <h2>Mind</h2>
      <Cautions of={plan.cautions} />
      <details data-test="plan-defaults" data-count={plan.defaults.length}>
        <summary>Taken for granted ({plan.defaults.length})</summary>
        <dl class="plan-defaults">
          {plan.defaults.map((one) => (
            <div key={one.field}>
              <dt>{one.field}</dt>
              <dd>
                <b>{localText(one.value, u)}</b>
                <span>{localText(one.why, u)}</span>
                {one.source ? <small>{one.source}</small> : null}
              </dd>
            </div>
          ))}
        </dl>
      </details>
      <RigDoes plan={plan} />
      <p class="help">
        Readiness is a span because meat differs; times that happen of themselves carry the band that holds
        them 99 times in 100.
        {tookMs === null ? '' : ` Worked out on this phone in ${Math.max(1, Math.round(tookMs))} ms.`}
      </p>
    </section>
  );
}

const minutes = (s: number | null) => (s === null ? 'never' : spanText(1000 * s));

/** Heat, power and water of the rig, with the lid on and off. */
function RigDoes({ plan }: { plan: Plan }) {
  const { rig } = plan;
  const u = unit.value;
  const sides = [
    { name: 'Lid on', side: rig.lidOn },
    { name: 'Lid off', side: rig.lidOff },
  ];
  return (
    <details data-test="plan-rig">
      <summary>What the rig does for it</summary>
      <p class="help">
        {rig.kind === 'identified'
          ? 'From its own measured figures.'
          : 'From its description: it has not been measured yet.'}
      </p>
      <table class="plan-rig">
        <thead>
          <tr>
            <td />
            {sides.map(({ name }) => (
              <th key={name} scope="col">
                {name}
              </th>
            ))}
          </tr>
        </thead>
        <tbody>
          <Row
            name={`To ${temperatureText(rig.bathC, u, 0)}`}
            of={sides.map(({ side }) => minutes(side.heatUpMiddleS))}
          />
          <Row name="Hottest it gets" of={sides.map(({ side }) => temperatureText(side.highestC, u, 0))} />
          <Row name="To hold it" of={sides.map(({ side }) => `${Math.round(side.holdMeanW)} W`)} />
          <Row
            name="Energy in all"
            of={sides.map(({ side }) => (side.totalKWh === null ? '—' : `${side.totalKWh.toFixed(1)} kWh`))}
          />
          <Row
            name="Evaporates"
            of={sides.map(({ side }) => `${litresText(side.evaporationLitresPerH, mass.value)} an hour`)}
          />
          <Row
            name="Top up"
            of={sides.map(({ side }) =>
              side.topUpEveryH === null ? 'not needed' : `every ${spanText(side.topUpEveryH * 3.6e6)}`,
            )}
          />
        </tbody>
      </table>
    </details>
  );
}

function Row({ name, of }: { name: string; of: readonly string[] }) {
  return (
    <tr>
      <th scope="row">{name}</th>
      {of.map((text, i) => (
        <td key={`${i}/${text}`}>{text}</td>
      ))}
    </tr>
  );
}

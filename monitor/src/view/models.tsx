import { foodModels } from '../../../shared/food/models.ts';
import { HAZARD_LEDGER } from '../../../shared/hazard/ledger.ts';
import { TENDER_LEDGER } from '../../../shared/tender/ledger.ts';

const GROUPS = [
  { name: 'Food and its core', models: foodModels },
  { name: 'Hazards', models: HAZARD_LEDGER },
  { name: 'Tenderness', models: TENDER_LEDGER },
] as const;

/** Every model as the code's own records have it. Fetched only when somebody asks. */
export function ModelTable() {
  return (
    <table class="models" data-test="models">
      <caption>Temperatures as the records have them, in °C unless F is said.</caption>
      <thead>
        <tr>
          <th scope="col">Model</th>
          <th scope="col">Source</th>
          <th scope="col">Range</th>
          <th scope="col">Check</th>
          <th scope="col">Known weakness</th>
        </tr>
      </thead>
      {GROUPS.map((group) => (
        <tbody key={group.name}>
          <tr class="group">
            <th scope="rowgroup" colSpan={5}>
              {group.name}
            </th>
          </tr>
          {group.models.map((one) => (
            <tr key={one.model} data-test="model">
              <th scope="row">{one.model}</th>
              <td data-name="Source">{one.source}</td>
              <td data-name="Range">{one.range}</td>
              <td data-name="Check">{one.check}</td>
              <td data-name="Known weakness">{one.weakness}</td>
            </tr>
          ))}
        </tbody>
      ))}
    </table>
  );
}

import { useSignal } from '@preact/signals';
import type { Picture } from '../series/picture.ts';
import { tableOf } from '../series/table.ts';
import { unit } from '../state/prefs.ts';
import { tableText } from '../words/clock.ts';
import { inUnit } from '../words/temperature.ts';

const LINES = 15;

/** The chart in numbers, for whoever would rather read or hear it. */
export function ChartTable({ picture, fromMs, toMs }: { picture: Picture; fromMs: number; toMs: number }) {
  const open = useSignal(false);
  const u = unit.value;
  const number = (celsius: number | null) => (celsius === null ? 'no data' : inUnit(celsius, u).toFixed(1));
  const span = (low: number | null, high: number | null) =>
    low === null || high === null || number(low) === number(high)
      ? number(low)
      : `${number(low)} to ${number(high)}`;
  return (
    <details
      class="table-twin"
      data-test="table-twin"
      onToggle={(event) => {
        open.value = event.currentTarget.open;
      }}
    >
      <summary>The same as a table</summary>
      {open.value ? (
        <table>
          <caption>Temperatures in °{u}, newest first</caption>
          <thead>
            <tr>
              <th scope="col">From</th>
              <th scope="col">Bath</th>
              <th scope="col">Setpoint</th>
              <th scope="col">Core, coldest to hottest</th>
              <th scope="col">Duty</th>
            </tr>
          </thead>
          <tbody>
            {tableOf(picture, fromMs, toMs, LINES).map((line) => (
              <tr key={line.fromMs}>
                <th scope="row">{tableText(line.fromMs, toMs - fromMs)}</th>
                <td>{span(line.bathMinC, line.bathMaxC)}</td>
                <td>{line.setpointC === null ? '–' : number(line.setpointC)}</td>
                <td>
                  {line.coreC === null ? '–' : `${number(line.coreC)} (${span(line.coldC, line.hotC)})`}
                </td>
                <td>{line.duty === null ? '–' : `${Math.round(line.duty * 100)} %`}</td>
              </tr>
            ))}
          </tbody>
        </table>
      ) : null}
    </details>
  );
}

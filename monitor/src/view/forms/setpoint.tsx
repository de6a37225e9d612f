import { signal } from '@preact/signals';
import type { Order, OrderOf } from '../../command/send.ts';
import { status } from '../../state/bath.ts';
import { run } from '../../state/errand.ts';
import { unit } from '../../state/prefs.ts';
import { inUnit, localText, temperatureText } from '../../words/temperature.ts';
import { Page, Submit, TroubleOf } from '../parts.tsx';
import { askedOf, LowSetpoint } from './low-setpoint.tsx';
import { SetpointField, setpointOf } from './setpoint-field.tsx';

const draft = signal<string | null>(null);

function send(order: Order, text: string): void {
  void run({
    order,
    from: 'setpoint',
    done: `The setpoint is ${text}.`,
    after: () => {
      draft.value = null;
    },
  });
}

/** What the change will do, before it is done. */
function consequence(fromC: number | null, toC: number): string {
  if (fromC === null || toC > fromC) {
    return 'The bath will heat, at full power if need be. Water above 60 °C (140 °F) burns skin within seconds.';
  }
  if (toC === fromC) return 'This is the setpoint already.';
  return 'The bath will cool by itself: slowly with the lid on. The food is then held cooler for as long.';
}

export function SetpointForm() {
  const u = unit.value;
  const heldC = status.value?.setpointC ?? null;
  const text = draft.value ?? (heldC === null ? '' : inUnit(heldC, u).toFixed(1));
  const wantedC = setpointOf(text);
  const words = temperatureText(wantedC, u);
  return (
    <Page test="setpoint-form" title="Change the setpoint">
      <p>Now {temperatureText(heldC, u)}.</p>
      <SetpointField
        value={text}
        onChange={(value) => {
          draft.value = value;
        }}
      />
      {wantedC === null ? null : (
        <p class="consequence" data-test="consequence">
          {localText(consequence(heldC, wantedC), u)}
        </p>
      )}
      {askedOf('setpoint') ? (
        <LowSetpoint
          view="setpoint"
          onSure={(held) => send({ ...(held as OrderOf<'set-setpoint'>), lowSetpointConfirmed: true }, words)}
        />
      ) : (
        <>
          <TroubleOf view="setpoint" />
          <Submit
            test="setpoint-submit"
            ready={wantedC !== null}
            why="A setpoint that will do is missing."
            onPress={() => {
              if (wantedC !== null) {
                send({ kind: 'set-setpoint', setpointC: wantedC, lowSetpointConfirmed: false }, words);
              }
            }}
          >
            Set {words}
          </Submit>
        </>
      )}
    </Page>
  );
}

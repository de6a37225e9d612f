import type { ComponentChildren } from 'preact';
import type { Order } from '../../command/send.ts';
import { bagsIn, status } from '../../state/bath.ts';
import { run } from '../../state/errand.ts';
import { unit } from '../../state/prefs.ts';
import type { ViewName } from '../../state/view.ts';
import { localText, temperatureText } from '../../words/temperature.ts';
import { Page, Submit, TroubleOf } from '../parts.tsx';

interface ConfirmProps {
  readonly from: ViewName;
  readonly title: string;
  readonly button: string;
  readonly done: string;
  readonly order: Order;
  readonly bagId?: string;
  readonly children: ComponentChildren;
}

/** What will follow, then one button that does it and says so. */
export function Confirm({ from, title, button, done, order, bagId, children }: ConfirmProps) {
  return (
    <Page test={`${from}-page`} title={title}>
      <div class="consequence" data-test="consequence">
        {children}
      </div>
      <TroubleOf view={from} />
      <Submit
        test={`${from}-confirm`}
        ready
        onPress={() => run({ order, from, done, ...(bagId ? { bagId } : {}) })}
      >
        {button}
      </Submit>
    </Page>
  );
}

export function AllowHeat() {
  const now = status.value;
  return (
    <Confirm
      from="allow-heat"
      title="Allow heat again"
      button="Allow heat"
      done="Heat is allowed again."
      order={{ kind: 'allow-heat' }}
    >
      <p>
        The element may heat the water to {temperatureText(now?.setpointC ?? null, unit.value)} again at once.
      </p>
      <p>
        Look first: the element is under water, the pump runs, the probe is in the water, nobody’s hands are
        in the bath.
      </p>
      {now ? <p>Heat is off now because: {localText(now.heat.reason, unit.value)}</p> : null}
    </Confirm>
  );
}

export function EndCook() {
  const inside = bagsIn.value.length;
  return (
    <Confirm
      from="end-cook"
      title="End the cook"
      button="End the cook"
      done="The cook has ended."
      order={{ kind: 'end-cook' }}
    >
      <p>The heat goes off and the record is closed. It can still be exported.</p>
      {inside > 0 ? (
        <p class="warn">
          {inside === 1 ? 'One bag is' : `${inside} bags are`} still in the bath. Take each out first, so that
          the record says when it left the heat.
        </p>
      ) : null}
    </Confirm>
  );
}

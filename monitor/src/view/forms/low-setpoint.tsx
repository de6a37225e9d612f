import { ERRORS } from '../../../../shared/wire/errors.ts';
import type { Order } from '../../command/send.ts';
import { busy, dismissTrouble, trouble } from '../../state/errand.ts';
import { unit } from '../../state/prefs.ts';
import type { ViewName } from '../../state/view.ts';
import { localText } from '../../words/temperature.ts';
import { Button, useIntoView } from '../parts.tsx';

/** Whether that view waits for the answer about a low setpoint. */
export function askedOf(view: ViewName): boolean {
  return trouble.value?.view === view && trouble.value.trouble.code === 'setpoint-low';
}

/**
 * The controller refused a setpoint under the hot limit until somebody says that they know what it means.
 * Shows the consequence in the registry's words, and the way on.
 */
export function LowSetpoint({ view, onSure }: { view: ViewName; onSure: (order: Order | null) => void }) {
  const box = useIntoView();
  const now = trouble.value;
  if (!now || !askedOf(view)) return null;
  const u = unit.value;
  const { cause, action } = ERRORS['setpoint-low'];
  return (
    <div class="trouble" role="alert" data-test="low-setpoint" ref={box}>
      <h2>A low setpoint</h2>
      <p>{localText(cause, u)}</p>
      {now.trouble.detail ? <p>{localText(now.trouble.detail, u)}</p> : null}
      <p>{localText(action, u)}</p>
      <div class="row">
        <Button test="low-setpoint-back" strong onPress={dismissTrouble}>
          Raise it instead
        </Button>
        <Button test="low-setpoint-sure" disabled={busy.value} onPress={() => onSure(now.order)}>
          I know the consequence: use it
        </Button>
      </div>
    </div>
  );
}

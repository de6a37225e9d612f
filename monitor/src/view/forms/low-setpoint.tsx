import { ERRORS } from '../../../../shared/wire/errors.ts';
import type { Order } from '../../command/send.ts';
import { busy, trouble } from '../../state/errand.ts';
import { unit } from '../../state/prefs.ts';
import type { ViewName } from '../../state/view.ts';
import { localText } from '../../words/temperature.ts';
import { Button } from '../parts.tsx';

/**
 * The controller refused a setpoint under the hot limit until somebody says that they know what it means.
 * Shows the consequence in the registry's words, and the way on.
 */
export function LowSetpoint({ view, onSure }: { view: ViewName; onSure: (order: Order) => void }) {
  const now = trouble.value;
  if (!now || now.view !== view || now.trouble.code !== 'setpoint-low') return null;
  const u = unit.value;
  const { cause, action } = ERRORS['setpoint-low'];
  return (
    <div class="trouble" role="alert" data-test="low-setpoint">
      <h2>A low setpoint</h2>
      <p>{localText(cause, u)}</p>
      {now.trouble.detail ? <p>{localText(now.trouble.detail, u)}</p> : null}
      <p>{localText(action, u)}</p>
      <div class="row">
        <Button
          test="low-setpoint-back"
          strong
          onPress={() => {
            trouble.value = null;
          }}
        >
          Raise it instead
        </Button>
        <Button test="low-setpoint-sure" disabled={busy.value} onPress={() => onSure(now.order)}>
          I know the consequence: use it
        </Button>
      </div>
    </div>
  );
}

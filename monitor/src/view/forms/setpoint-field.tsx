import { SETPOINT_MAX_C, SETPOINT_MIN_C } from '../../../../shared/wire/command.ts';
import { installation } from '../../state/bath.ts';
import { dismissTrouble } from '../../state/errand.ts';
import { unit } from '../../state/prefs.ts';
import { numberFault, parseNumber } from '../../words/number.ts';
import { fromUnit, inUnit } from '../../words/temperature.ts';
import { NumberField } from '../parts.tsx';

/** The controller refuses a setpoint nearer than this to the rig's hard maximum. */
const UNDER_HARD_MAX_C = 2;

/** Widest setpoint of this rig in the chosen unit, rounded inwards. */
export function setpointBounds(): { min: number; max: number } {
  const u = unit.value;
  const high = Math.min(SETPOINT_MAX_C, (installation.value?.hardMaxC ?? 95) - UNDER_HARD_MAX_C);
  return { min: Math.ceil(inUnit(SETPOINT_MIN_C, u)), max: Math.floor(inUnit(high, u)) };
}

/** Degrees C of what was typed, or null where it will not do. */
export function setpointOf(text: string): number | null {
  const { min, max } = setpointBounds();
  if (numberFault(text, min, max, '') !== null) return null;
  return fromUnit(parseNumber(text), unit.value);
}

export function SetpointField({ value, onChange }: { value: string; onChange: (text: string) => void }) {
  const u = unit.value;
  const { min, max } = setpointBounds();
  return (
    <NumberField
      id="setpoint"
      label="Setpoint"
      unitText={`°${u}`}
      value={value}
      step={u === 'C' ? 0.5 : 1}
      decimals={u === 'C' ? 1 : 0}
      min={min}
      max={max}
      onChange={(text) => {
        // A refusal spoke of the number before.
        dismissTrouble();
        onChange(text);
      }}
    />
  );
}

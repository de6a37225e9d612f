import { fToC } from '../../shared/units/temperature.ts';

/** Hot holding: 135 F, FDA Food Code 2022, 3-501.16(A)(1), as everybody writes it in Celsius, so that 57.2 is not "below 57.2". */
export const LOW_SETPOINT_C = 57.2;
/** Never lower than this: 54.4 degC (130 F), the roasts of Food Code 3-501.16(A)(1) and the end of FSIS come-up. */
export const LOWEST_HOT_LIMIT_C = fToC(130);

/**
 * The temperature under which the danger-zone alarm stands while food is in, degC.
 * A setpoint under 57.2 degC was confirmed by a person; the alarm then stands 1 degC under it, never under 54.4 degC.
 */
export function hotLimitC(setpointC: number | null): number {
  if (setpointC === null || setpointC >= LOW_SETPOINT_C) return LOW_SETPOINT_C;
  return Math.max(LOWEST_HOT_LIMIT_C, setpointC - 1);
}

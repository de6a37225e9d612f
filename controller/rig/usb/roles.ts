import type { RigConfig } from '../../../shared/wire/config.ts';
import type { ProbeRole } from '../../../shared/wire/probe-roles.ts';
import type { ProbeView } from './view.ts';

/** A probe that the configuration names, of either kind: its ROM or pin, and its role. */
export interface NamedProbe {
  readonly rom: string;
  readonly role: ProbeRole | null;
}

/** All probes that a configuration names, those on analogue pins by their pin. */
export function namedProbes({
  probes,
  analogue = [],
}: Pick<RigConfig, 'probes'> & Partial<Pick<RigConfig, 'analogue'>>): readonly NamedProbe[] {
  return [...probes, ...analogue.map(({ name, role }) => ({ rom: name, role }))];
}

/** What stands against heating with the probes as they are, in words a cook understands; null where nothing does. */
export type ProbesFault = string | null;

/** Two probes in the same water may differ by this for good (layers, lag); more for a minute is a fault. Common practice, no source. */
const DISAGREE_C = 3;
const DISAGREE_MS = 60_000;

/**
 * A probe of another kind on the bus, or the bath's own probe gone while a stranger is there.
 * @param probes everything heard of lately
 */
export function busFault(
  probes: readonly ProbeView[],
  roles: readonly NamedProbe[],
  nowMs: number,
): ProbesFault {
  const alive = (rom: string) =>
    probes.some((probe) => probe.rom === rom && probe.quality !== 'absent' && nowMs - probe.arrivedMs < 5000);
  const foreign = probes.find((probe) => probe.foreign);
  if (foreign) {
    return `There is ${foreign.why ?? 'a device of another kind'} on the probe wires (${foreign.rom}); expected DS18B20 probes only. Unplug it.`;
  }
  const bath = roles.find((one) => one.role === 'bath');
  const known = new Set(roles.map((one) => one.rom));
  const stranger = probes.find((probe) => !known.has(probe.rom) && alive(probe.rom));
  if (bath && stranger && !alive(bath.rom)) {
    return `The bath probe ${bath.rom} is gone and another, ${stranger.rom}, is there: was it swapped? Put the old one back, or give the new one its role with: bathkeeper rig`;
  }
  return null;
}

/** Watches two probes in the same water: `at` is called once a tick. */
export class PairWatch {
  private apartSinceMs: number | null = null;

  /** Words once both were good and far apart for a minute; null where a probe is missing: that is another fault. */
  at(bathC: number | null, secondC: number | null, nowMs: number): ProbesFault {
    if (bathC === null || secondC === null || Math.abs(bathC - secondC) <= DISAGREE_C) {
      this.apartSinceMs = null;
      return null;
    }
    this.apartSinceMs ??= nowMs;
    if (nowMs - this.apartSinceMs < DISAGREE_MS) return null;
    return `The two bath probes disagree: ${bathC.toFixed(1)} and ${secondC.toFixed(1)} °C; expected within ${DISAGREE_C} K. See that both hang in the water and the pump runs; then check each in ice.`;
  }
}

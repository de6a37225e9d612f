import { type PlantTruth, truth } from '../../shared/bath/plant.ts';
import type { AlarmId } from '../../shared/wire/alarm.ts';
import type { Second, World } from './world.ts';

/** Water may be so far over its setpoint, and never over this, degC. */
const OVER_C = 5;
const NEVER_OVER_C = 95;

/** What a run came to, by the plant's truth. Seconds count from the onset of the fault. */
export interface Outcome {
  /** Highest water, degC, and by how much it passed the limit (below nought = within). */
  peakC: number;
  overLimitC: number;
  /** Longest heating of an element not wholly under water, s. */
  uncoveredS: number;
  /** The last second with current through the element; null = none after the onset. */
  lastHeatS: number | null;
  /** Longest stretch of current that the tick had not asked for, s. */
  unaskedS: number;
  /** First second of such current, and of heat that the tick asked for; null = none. */
  firstUnaskedS: number | null;
  firstAskedS: number | null;
  /** First second at which each alarm stood. */
  named: Partial<Record<AlarmId, number>>;
  /** First second at which an alarm of highest priority stood. */
  highS: number | null;
  /** When the element first showed above the water; null = never. */
  elementShowsS: number | null;
  trip: AlarmId | null;
}

/** Watches a run from the onset on. */
export class Judge {
  readonly outcome: Outcome = {
    peakC: Number.NEGATIVE_INFINITY,
    overLimitC: Number.NEGATIVE_INFINITY,
    uncoveredS: 0,
    lastHeatS: null,
    unaskedS: 0,
    firstUnaskedS: null,
    firstAskedS: null,
    named: {},
    highS: null,
    elementShowsS: null,
    trip: null,
  };
  private readonly world: World;
  private readonly onsetS: number;
  private unasked = 0;
  private askedBefore = true;

  constructor(world: World, onsetS: number) {
    this.world = world;
    this.onsetS = onsetS;
  }

  /** Takes in one second. */
  look({ atS, state, output, plant }: Second): PlantTruth {
    const now = truth(this.world.scene.spec, plant);
    const after = atS - this.onsetS;
    const { outcome } = this;
    const limitC = Math.min((state.cook?.setpointC ?? NEVER_OVER_C) + OVER_C, NEVER_OVER_C);
    outcome.peakC = Math.max(outcome.peakC, now.waterC);
    outcome.overLimitC = Math.max(outcome.overLimitC, now.waterC - limitC);
    // Only heat after the onset counts: no run begins with a bare element.
    outcome.uncoveredS = now.worstUncoveredS;
    if (now.heating) outcome.lastHeatS = after;
    // The current of this second was asked for by the tick before it.
    this.unasked = now.heating && !this.askedBefore ? this.unasked + 1 : 0;
    outcome.unaskedS = Math.max(outcome.unaskedS, this.unasked);
    if (this.unasked > 0) outcome.firstUnaskedS ??= after;
    this.askedBefore = output.lease !== null;
    if (this.askedBefore) outcome.firstAskedS ??= after;
    if (now.elementUncovered && outcome.elementShowsS === null) outcome.elementShowsS = after;
    for (const row of output.alarms) {
      if (row.to !== 'unacknowledged') continue;
      outcome.named[row.alarmId] ??= after;
      if (row.priority === 'high') outcome.highS ??= after;
    }
    if (state.trip) outcome.trip ??= state.trip.alarmId;
    return now;
  }
}

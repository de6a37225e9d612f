import { type BathHistory, BUCKET_S, lastBucket, waterBack } from './history.ts';
import type { TickSettings } from './settings.ts';

/** Volumetric heat capacity of water near 70 degC, J/(L K) (IAPWS density x specific heat). */
const WATER_J_PER_L_K = 4097;
/** A fall this much faster than the known loss is not the loss. In watts, at least. */
const STEP_W = 250;
/** After a known cause (bag in, answer given, setpoint changed) the search rests this long. */
const REST_S = 900;
/** Unanswered for this long, the food counts as in. */
export const ANSWER_S = 600;

/** The search for load that nobody entered, as plain data. Times by the tick's own clock. */
export interface LoadState {
  /** Bucket in which the search last looked. */
  readonly lookedAt: number;
  readonly restUntilS: number;
  /** When the open question's dip began; null = nothing is asked. */
  readonly dipAtS: number | null;
  readonly askedAtS: number;
  readonly excessW: number;
}

export const NO_LOAD: LoadState = { lookedAt: -1, restUntilS: 0, dipAtS: null, askedAtS: 0, excessW: 0 };

/** A known cause explains what the water does next: the search rests, and an open question is withdrawn. */
export function explainLoad(load: LoadState, clockS: number): LoadState {
  return { ...load, restUntilS: clockS + REST_S, dipAtS: null };
}

/**
 * Looks once a bucket whether the water falls faster than it could by its own loss.
 *
 * A dead heater alone lets the water fall at the rate of the loss, so a faster fall is heat taken up: food, cold
 * water, or an open lid. The loss is read from the quiet minutes before (heat given less heat stored), and never
 * taken below a tenth of full heat, the most that a poor box loses while it holds.
 */
export function searchLoad(
  load: LoadState,
  history: BathHistory,
  clockS: number,
  settings: TickSettings,
): LoadState {
  const bucket = lastBucket(history);
  if (bucket === load.lookedAt) return load;
  const looked = { ...load, lookedAt: bucket };
  if (load.dipAtS !== null || clockS < load.restUntilS) return looked;
  const now = waterBack(history, 0);
  const before = waterBack(history, 6);
  if (now === null || before === null) return looked;
  const capacity = settings.litres * WATER_J_PER_L_K;
  const fallW = ((before - now) * capacity) / (6 * BUCKET_S);
  const excessW = fallW - Math.max(settings.elementWatts * 0.1, usualLossW(history, settings, capacity));
  if (excessW < STEP_W) return looked;
  return { ...looked, dipAtS: Math.max(0, clockS - 8 * BUCKET_S), askedAtS: clockS, excessW };
}

/** Loss in watts over the ten minutes that ended two minutes ago: heat given less heat stored. */
function usualLossW(history: BathHistory, settings: TickSettings, capacity: number): number {
  const late = waterBack(history, 12);
  const early = waterBack(history, 72);
  if (late === null || early === null) return 0;
  const from = history.heat.length - 73;
  let heat = 0;
  for (let i = from + 1; i <= from + 60; i++) heat += history.heat[i] ?? 0;
  return (heat / 60) * settings.elementWatts - ((late - early) * capacity) / (60 * BUCKET_S);
}

import { durationText } from '../../../shared/units/duration.ts';
import { type TemperatureUnit, temperatureText } from '../../../shared/units/temperature.ts';
import type { CookStage, Status } from '../../../shared/wire/status.ts';

export const STAGE_WORDS: Record<CookStage, string> = {
  heating: 'Heating the bath',
  'ready-for-food': 'Ready for food',
  'food-in': 'Food is in',
  holding: 'Holding',
  'taken-out': 'Food is out',
};

/** What the cook does next, in one sentence. */
export function nextStep(status: Status, unit: TemperatureUnit): string {
  const { cook, setpointC } = status;
  if (!cook || cook.endedAtMs !== null)
    return 'Fill the box, put the pump and the probe in, then start a cook.';
  if (status.heat.stopped) return 'Heat is stopped. Allow it again once you know that all is well.';
  switch (cook.stage) {
    case 'heating':
      return `Wait for ${temperatureText(setpointC, unit)}, then put the bags in and say so here.`;
    case 'ready-for-food':
      return 'Put the bags in, then touch “Bag in” for each.';
    case 'food-in':
      return 'Lid on. Leave it while the cores come up.';
    case 'holding':
      return 'Lid on. Nothing to do until you want to feel whether it is tender.';
    case 'taken-out':
      return 'Serve it hot or chill it in ice at once; then end the cook.';
  }
}

/** How long the cook has run, by the controller's clock. */
export function cookAge(status: Status): string | null {
  if (!status.cook) return null;
  const end = status.cook.endedAtMs ?? status.wallMs;
  return durationText((end - status.cook.startedAtMs) / 1000);
}

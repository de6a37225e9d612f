import type { DishAsked } from '../../shared/plan/complete-dish.ts';
import { readAromatic } from './cure.ts';
import type { FlagReader } from './flags.ts';
import type { PlanValues } from './plan-flags.ts';

/** The cure that the flags of `plan` ask for, dish by dish: all alike, but for the curing salt, which is weighed for each. */
export function readCures(
  reader: FlagReader,
  values: PlanValues,
  curingSalts: readonly string[],
): (dish: number) => DishAsked['cure'] {
  const salt = reader.quantity('salt', values.salt, 'fraction');
  const method = reader.choice('cure', values.cure, ['equilibrium', 'packed']);
  const wantedS = reader.quantity('cure-time', values['cure-time'], 'duration');
  const nitriteFraction = reader.quantity('nitrite', values.nitrite, 'fraction');
  const aromatics = values.aromatic?.map((one) => readAromatic(reader, one));
  if (curingSalts.length > 0 !== (values.nitrite !== undefined)) {
    reader.faults.push(
      'nitrite needs both --curing-salt (a weight, never spoons) and --nitrite (its share, as the label says).',
    );
  }
  if (salt === 0 && (aromatics || curingSalts.length > 0)) {
    reader.faults.push(
      '--salt 0% is no cure, so there is nothing for --aromatic or --curing-salt to go with.',
    );
  }
  return (dish) => {
    if (salt === 0) return null;
    const curingKg = reader.quantity('curing-salt', curingSalts[dish], 'mass');
    const said = {
      ...(salt === undefined ? {} : { saltPercent: 100 * salt }),
      ...(method === undefined ? {} : { method }),
      ...(wantedS === undefined ? {} : { wantedS }),
      ...(aromatics === undefined ? {} : { aromatics }),
      ...(curingKg === undefined || nitriteFraction === undefined
        ? {}
        : { nitrite: { curingSaltG: 1000 * curingKg, nitriteFraction } }),
    };
    return Object.keys(said).length > 0 ? said : undefined;
  };
}

import type { Kind } from './kind.ts';
import { HEAT_KINDS } from './kinds/heat.ts';
import { PEOPLE_KINDS } from './kinds/people.ts';
import { PROBE_KINDS } from './kinds/probe.ts';
import { WATER_KINDS } from './kinds/water.ts';

/** Every kind of fault of the campaign, in the order of the table. */
export const KINDS: readonly Kind[] = [...PROBE_KINDS, ...HEAT_KINDS, ...WATER_KINDS, ...PEOPLE_KINDS];

/** A kind by its id. @throws RangeError that names those there are */
export function kindOf(id: string): Kind {
  const kind = KINDS.find((one) => one.id === id);
  if (!kind) throw new RangeError(`no kind "${id}"; there are: ${KINDS.map((one) => one.id).join('; ')}`);
  return kind;
}

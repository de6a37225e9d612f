import type { PlantEvent, ProbeFault, SwitchFault } from '../../shared/bath/plant.ts';
import type { UnseenId } from '../../shared/bath/unseen.ts';
import { mix32, type Random } from '../../shared/units/random.ts';
import type { AlarmId } from '../../shared/wire/alarm.ts';
import type { Board } from '../../shared/wire/reading.ts';
import type { RigClass, Scene } from './scene.ts';
import type { World } from './world.ts';

/** One of these alarms must stand by then, s from the onset; `ofHeat`: from the first heat asked for after it. */
export interface Named {
  readonly by: readonly AlarmId[];
  readonly withinS: number;
  readonly ofHeat?: true;
  /** The limit it counts as; default `named`. */
  readonly limit?: 'named at last' | 'named by its own name';
}

/** What a fault must come to. Seconds from its onset. Water and element are judged on every kind. */
export interface Limits {
  /** The fault is named. The first is what the table reports as detection. */
  readonly named?: readonly Named[];
  /** No current through the element from then on. */
  readonly heatOffS?: number;
  /** Current nobody asked for lasts no longer, s. */
  readonly unaskedS?: number;
  /** An alarm of highest priority stands so long after the first heat that nobody asked for, s. */
  readonly highS?: number;
  /** Alarms that would say something untrue and dangerous to act on, and never stand. */
  readonly never?: readonly AlarmId[];
  /** Low water is told so long before the element shows, s. */
  readonly aheadS?: number;
}

/** Names of the limits, as results give them. */
export type LimitId =
  | 'water'
  | 'element'
  | 'named'
  | 'named at last'
  | 'named by its own name'
  | 'never'
  | 'heat off'
  | 'unasked'
  | 'highest alarm'
  | 'ahead';

/** A limit that this rig cannot always keep, why not, and the least share of seeds that must keep it all the same. */
export interface Excuse {
  readonly limit: LimitId;
  readonly why: UnseenId;
  readonly floor: number;
}

/** One kind of fault: where it comes, what it does, what it must come to. */
export interface Kind {
  readonly id: string;
  readonly rigClass: RigClass;
  /** While heating up, while holding, or while holding with food that is still warming. */
  readonly phase: 'heat-up' | 'hold' | 'food';
  /** How long the run goes on after the onset, s. */
  readonly runS: number;
  readonly limits: Limits;
  readonly excuses?: readonly Excuse[];
  /** Changes the rig before the run. */
  readonly prepare?: (scene: Scene, random: Random) => Scene;
  readonly begin: (world: World, random: Random) => void;
  /** Every second after the onset. */
  readonly each?: (world: World, afterS: number) => void;
}

/** Ten minutes, s: by then most faults must have a name. */
export const TEN_MIN = 600;
/** What the food bag is called. */
export const FOOD_ID = 'joint';

/** A rig of its own for every kind and seed. */
export function sceneSeed(kindId: string, seed: number): number {
  let hash = 7;
  for (const letter of kindId) hash = mix32(hash * 31 + letter.charCodeAt(0));
  return seed + 1000 * (hash % 1_000_000);
}

type Begin = Kind['begin'];

/** Lets one thing happen to the bath. */
export const event =
  (one: PlantEvent): Begin =>
  (world) =>
    world.event(one);

/** Gives a probe a fault, of a drawn size where it has one. */
export const probe =
  (fault: ProbeFault, size?: (random: Random) => number, which: 'bath' | 'second' = 'bath'): Begin =>
  (world, random) =>
    world.event({ type: 'probe', probe: which, fault, ...(size ? { size: size(random) } : {}) });

/** Sticks switches of the heat circuit. */
export const stick =
  (fault: SwitchFault, ...which: readonly ('regulating' | 'guard')[]): Begin =>
  (world) => {
    for (const one of which) world.event({ type: 'switch', which: one, fault });
  };

/** Makes the board say other than it would. */
export const board =
  (change: Partial<Board>): Begin =>
  (world) => {
    world.interference.board = (said) => ({ ...said, ...change });
  };

/** One after the other. */
export const all =
  (...begins: readonly Begin[]): Begin =>
  (world, random) => {
    for (const begin of begins) begin(world, random);
  };

/** Shorthand for one name. */
export const named = (withinS: number, ...by: readonly AlarmId[]): Named => ({ by, withinS });

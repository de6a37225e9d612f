import type { Command } from '../../shared/wire/command.ts';
import type { PlantEventMessage, PlantTruth } from '../../shared/wire/plant.ts';
import type { Board, Readings } from '../../shared/wire/reading.ts';
import type { Installation } from '../../shared/wire/status.ts';
import type { HeatLease } from '../../shared/wire/tick.ts';

/** What has arrived from the world by now. */
export interface RigSnapshot {
  readonly readings: Readings;
  readonly board: Board;
}

/** The simulated world behind a rig, for the developer panel. */
export interface PlantPort {
  /** Lets something happen. @throws BathkeeperError('bad-request') that says what was wrong with the event */
  apply(event: PlantEventMessage): void;
  truth(): PlantTruth;
}

/** 0 silent, 1 attention, 2 warning, 3 emergency. */
export type SoundPattern = 0 | 1 | 2 | 3;

/** The one edge between the controller and a bath, whatever it is made of. */
export interface Rig {
  readonly kind: Installation['rigKind'];
  /** What people are told about it, in one line. */
  readonly text: string;
  /** The latest readings and the board's last word; never waits. `nowMs` is monotonic. */
  read(nowMs: number): RigSnapshot;
  /**
   * This tick's lease, once; null opens the switches. Never repeated by the rig.
   * @param standBy only between two pulses of heat: a second switch in series may stay closed
   */
  heat(lease: HeatLease | null, nowMs: number, standBy?: boolean): void;
  /** How loud the rig's own sounder is to be now; told every tick. */
  sound?(pattern: SoundPattern, nowMs: number): void;
  /**
   * Whether the board has answered the lease of the tick before: granted it, or refused it for a reason that people are
   * told. Asked after `read` and before `heat`. Where a rig leaves it out, a link that is up is its answer.
   */
  leaseAnswered?(): boolean;
  /** After a restart: the bag that the core probe was in. */
  recallCore?(bagId: string): void;
  /** On a simulated rig: the world follows what the cook says (a bag entered is a bag put in). */
  follow(command: Command): void;
  readonly plant: PlantPort | null;
  /** Heat off, and everything let go. */
  close(): Promise<void>;
}

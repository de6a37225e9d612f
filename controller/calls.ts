import type { Config } from '../shared/wire/config.ts';
import { type Clock, systemClock } from './clock.ts';
import type { Engine } from './engine.ts';
import { startReach } from './reach/open.ts';
import type { Reminder } from './reach/reminders.ts';
import { ANSWER_POLICY, reachRoutes } from './reach/routes.ts';
import { reachFiles } from './reach/store.ts';
import type { Hub } from './serve/hub.ts';

/** What calls people, as main wires it. */
export interface Calls {
  readonly handed: NonNullable<Hub['handed']>;
  /** Tells people that a step of a plan is due. */
  remind(reminder: Reminder): void;
  /** Listens to the engine from now on. */
  follow(engine: Engine): void;
  close(): Promise<void>;
}

const STEP_MS = 1000;

/**
 * Starts the ways by which an alarm reaches a person. In demo time nobody outside is called: an hour of it would ring
 * a real phone sixty times a minute.
 */
export async function openCalls(
  config: Config,
  folder: string,
  speed: number,
  log: (line: string) => void,
): Promise<Calls | null> {
  if (speed !== 1) return null;
  const clock: Clock = systemClock();
  const reach = await startReach({
    config: config.reach,
    kitchen: config.kitchen,
    clock,
    store: reachFiles(folder, () => clock.wallMs()),
    log,
  });
  const timer = setInterval(() => reach.tick(), STEP_MS);
  return {
    handed: { routes: reachRoutes(reach), htmlPolicy: ANSWER_POLICY },
    remind: (reminder) => reach.remind(reminder),
    follow(engine) {
      engine.onCommitted(({ alarms, status }) => reach.onAlarms(alarms, status));
    },
    async close() {
      clearInterval(timer);
      await reach.close();
    },
  };
}

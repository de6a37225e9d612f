import { randomUUID } from 'node:crypto';
import type { Config } from '../shared/wire/config.ts';
import { type DeliveryRow, deliveryRowSchema } from '../shared/wire/reach-view.ts';
import type { CallsInput } from '../shared/wire/tick.ts';
import { type Clock, systemClock } from './clock.ts';
import type { CallsLink, Engine } from './engine.ts';
import type { JournalReader, Resume } from './journal/reader.ts';
import { startReach } from './reach/open.ts';
import type { Proof, WaysReport } from './reach/options.ts';
import type { Reminder } from './reach/reminders.ts';
import { ANSWER_POLICY, reachRoutes } from './reach/routes.ts';
import { reachFiles } from './reach/store.ts';
import { NO_REPORT } from './reach/ways.ts';
import type { Rig } from './rig/rig.ts';
import type { Hub } from './serve/hub.ts';

/** What calls people, as main wires it. */
export interface Calls {
  readonly handed: NonNullable<Hub['handed']>;
  /** For the loop: what goes into the next tick, and what the sounder keeps still about. */
  readonly link: CallsLink;
  /** Tells people that a step of a plan is due. */
  remind(reminder: Reminder): void;
  /** Asks there how many pages are open. */
  countViewers(by: () => number): void;
  /** Listens to the engine from now on. */
  follow(engine: Engine): void;
  close(): Promise<void>;
}

export interface CallsOptions {
  readonly config: Config;
  readonly folder: string;
  readonly speed: number;
  readonly reader: JournalReader;
  /** Where the log ended before this start. */
  readonly found: Pick<Resume, 'lastSequence'>;
  readonly rig: Pick<Rig, 'sound'>;
  readonly log: (line: string) => void;
}

const STEP_MS = 1000;
/** Lines that go into one tick; more wait for the next. */
const ROWS_PER_TICK = 64;
/** The log of deliveries is looked for so far back: a week of ticks. */
const HISTORY_TICKS = 7 * 86_400;

/**
 * Starts the ways by which an alarm reaches a person. In demo time nobody outside is called: an hour of it would ring
 * a real phone sixty times a minute.
 */
export async function openCalls(options: CallsOptions): Promise<Calls | null> {
  const { config, folder, speed, reader, found, rig, log } = options;
  if (speed !== 1) return null;
  const clock: Clock = systemClock();
  const news = newsOf();
  let engine: Engine | null = null;
  let viewers: (() => number) | null = null;
  const reach = await startReach({
    config: config.reach,
    kitchen: config.kitchen,
    clock,
    store: reachFiles(folder, () => clock.wallMs()),
    history: await loggedDeliveries(reader, found.lastSequence),
    onRow: (row) => news.add(row),
    onProof: (proof) => noteProof(engine, proof, log),
    viewers: () => viewers?.() ?? 0,
    // The loop sounds it, which knows the alarms even where the calling is at fault; here it only counts as there.
    ...(rig.sound ? { sound: () => undefined } : {}),
    log,
  });
  const timer = setInterval(() => reach.tick(), STEP_MS);
  const safely = guarding(log);
  return {
    handed: { routes: reachRoutes(reach), htmlPolicy: ANSWER_POLICY },
    link: guarded(
      {
        ahead: ({ sequence, rows, standing }) => reach.ahead(sequence, rows, standing),
        news: () => news.take(safely(() => reach.report(), NO_REPORT)),
        hushed: () => reach.hushed(),
        triesSounder: () => reach.triesSounder(),
      },
      log,
    ),
    remind: (reminder) => reach.remind(reminder),
    countViewers(by) {
      viewers = by;
    },
    follow(running) {
      engine = running;
      // What goes wrong here must not keep the commit from those who wait for it after us.
      running.onCommitted(({ alarms, status }) => safely(() => reach.onAlarms(alarms, status), undefined));
    },
    async close() {
      clearInterval(timer);
      await reach.close();
    },
  };
}

/** The same link, but a fault in the calling is told once and never stops the loop: then nothing is hushed. */
export function guarded(link: CallsLink, log: (line: string) => void): CallsLink {
  const safely = guarding(log);
  return {
    ahead: (alarms) => safely(() => link.ahead(alarms), undefined),
    news: () => safely(() => link.news(), undefined),
    hushed: () => safely(() => link.hushed(), new Set()),
    triesSounder: () => safely(() => link.triesSounder(), false),
  };
}

/** Asks, and gives something else where that fails; the first failure is told. */
function guarding(log: (line: string) => void) {
  let told = false;
  return <T>(ask: () => T, otherwise: T): T => {
    try {
      return ask();
    } catch (error) {
      if (!told) log(`The calls could not be asked: ${error instanceof Error ? error.stack : String(error)}`);
      told = true;
      return otherwise;
    }
  };
}

/** Gathers what the next tick is to hear of: new lines of the delivery log, and how the ways stand where that changed. */
function newsOf() {
  const rows: DeliveryRow[] = [];
  let told = '';
  return {
    add: (row: DeliveryRow): void => void rows.push(row),
    take(report: WaysReport): CallsInput | undefined {
      const now = JSON.stringify(report);
      const changed = now !== told;
      if (!changed && rows.length === 0) return undefined;
      told = now;
      const state = { ...report, failing: report.failing.map((one) => ({ ...one })) };
      return { state: changed ? state : null, deliveries: rows.splice(0, ROWS_PER_TICK) };
    },
  };
}

/** Somebody has answered a test: that counts for leaving the cook alone, and stands in its record. */
function noteProof(engine: Engine | null, { person }: Proof, log: (line: string) => void): void {
  const command = {
    kind: 'answer-alarm-test',
    id: `answer-${randomUUID()}`,
    by: person.slice(0, 40),
  } as const;
  engine
    ?.submit(command)
    .catch((error: Error) => log(`The answer to a test was not recorded: ${error.message}`));
}

/** The lines of the delivery log that the journal holds, oldest first: outside cooks, and of the latest two. */
async function loggedDeliveries(reader: JournalReader, lastSequence: number): Promise<DeliveryRow[]> {
  const after = Math.max(0, lastSequence - HISTORY_TICKS);
  const cooks = (await reader.cooks()).map((cook) => cook.cookId).slice(-2);
  const found = await Promise.all([null, ...cooks].map((cookId) => reader.events(cookId, after)));
  return found
    .flat()
    .filter((event) => event.kind === 'delivery')
    .flatMap((event) => deliveryRowSchema.safeParse(event.data.row).data ?? [])
    .sort((a, b) => a.row - b.row);
}

import type { Known } from '../../../shared/plan/form.ts';
import { type ConfiguredBox, rigOfView } from '../../../shared/plan/rig-view.ts';
import type { Belief } from '../../../shared/tender/belief.ts';
import type { RigView, Status } from '../../../shared/wire/status.ts';
import type { JournalReader } from '../../journal/reader.ts';
import type { Committed } from '../hub.ts';
import { PlanBook } from './book.ts';
import { CLOCK_DOUBT, PlanFollower } from './follow.ts';
import { openPlanner } from './planner.ts';
import { dueNudges, type Nudge, REMINDED_MOST } from './remind.ts';
import type { PlanStore } from './store.ts';

/** What the plans of a kitchen are kept with. */
export interface DeskOptions {
  readonly store: PlanStore;
  readonly reader: JournalReader;
  readonly box: ConfiguredBox;
  /** What is known of the rig with the water at a temperature, C. */
  rigView(atC: number): RigView | null;
  readonly profileId: string;
  /** Zone of the kitchen, IANA name. */
  readonly zone: string;
  /** Wall clock of the loop, ms; in demo time it runs ahead. */
  wallMs(): number;
  /** A clock that never steps, real time, ms. */
  monotonicMs(): number;
  /** What this kitchen has learned of each class of cuts. */
  beliefs(): readonly Belief[];
  /** Hands a reminder to the ways by which people are reached; null where nobody is called. */
  readonly remind: ((nudge: Nudge) => void) | null;
  readonly log: (line: string) => void;
}

/** Losses of a rig are taken at this where nobody asks for a temperature, C: about where tough cuts are cooked. */
const USUAL_BATH_C = 72;

/** All that the server has to do with plans. */
export interface PlanDesk {
  readonly book: PlanBook;
  readonly follower: PlanFollower;
  /** What the controller plans with; losses are those about the bath's temperature, C. */
  known(bathC?: number): Known;
  /** News of the loop, with each commit. */
  take(committed: Committed): void;
  close(): Promise<void>;
}

/** Opens the plans that are on disk, and the planner. Rejects where the folder cannot be read. */
export async function openPlanDesk(options: DeskOptions): Promise<PlanDesk> {
  const { store, reader, log } = options;
  const planner = openPlanner(log);
  let status: Status | null = null;
  const known = (bathC = USUAL_BATH_C): Known => ({
    nowMs: status?.wallMs ?? options.wallMs(),
    zone: options.zone,
    rig: rigOfView(options.rigView(bathC), options.box),
    profileId: options.profileId,
    beliefs: Object.fromEntries(options.beliefs().map((belief) => [belief.classId, belief])),
  });
  const runningCookId = (): string | null => follower?.runningCookId() ?? null;
  let follower: PlanFollower | null = null;
  const book = await PlanBook.open({ store, planner, known, runningCookId });
  follower = new PlanFollower({ book, planner, reader, known, monotonicMs: options.monotonicMs, log });
  const following = follower;
  const remindOnce = makeReminder(book, following, options);
  return {
    book,
    follower: following,
    known,
    take(committed) {
      ({ status } = committed);
      following.take(committed);
      remindOnce(committed.status);
    },
    async close() {
      await following.settled();
      await planner.close();
    },
  };
}

/** Reminders go out once: what is not yet noted on disk counts as sent all the same. */
function makeReminder(
  book: PlanBook,
  follower: PlanFollower,
  { remind, log }: DeskOptions,
): (status: Status) => void {
  const underWay = new Map<string, string[]>();
  return ({ wallMs, wallTrusted }) => {
    if (!remind) return;
    const plans = book
      .all()
      .map((plan) => ({ ...plan, reminded: [...plan.reminded, ...(underWay.get(plan.planId) ?? [])] }));
    const due = dueNudges(plans, (id) => follower.outlook(id), follower.runningCookId(), wallMs);
    for (const { planId, entry, nudge } of due) {
      underWay.set(planId, [...(underWay.get(planId) ?? []), entry]);
      remind(wallTrusted ? nudge : { ...nudge, text: `${nudge.text}\n${CLOCK_DOUBT}` });
      book
        .note(planId, ({ reminded }) => ({ reminded: [...reminded, entry].slice(-REMINDED_MOST) }))
        // What could not be noted stays in memory: a full disk must not make a nuisance of it.
        .then(() =>
          underWay.set(
            planId,
            (underWay.get(planId) ?? []).filter((one) => one !== entry),
          ),
        )
        .catch((error: unknown) => log(`A reminder was sent and could not be noted: ${String(error)}`));
    }
  };
}

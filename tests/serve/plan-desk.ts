import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { openPlanDesk, type PlanDesk } from '../../controller/serve/plans/desk.ts';
import type { Nudge } from '../../controller/serve/plans/remind.ts';
import { planFiles } from '../../controller/serve/plans/store.ts';
import type { PlanForm } from '../../shared/wire/plan.ts';
import type { RigView } from '../../shared/wire/status.ts';
import { FakeHub } from './fake-hub.ts';
import { type Bed, makeBedOn } from './server-bed.ts';

/** A hub with plans. */
export class PlanHub extends FakeHub {
  declare readonly plans: PlanDesk;
}

/** A server with plans in a folder of its own, and what it reminded of. */
export interface PlanBed {
  readonly bed: Bed<PlanHub>;
  readonly desk: PlanDesk;
  readonly folder: string;
  readonly nudges: Nudge[];
  readonly log: string[];
  /** Time of the real clock that forecasts are spaced by, ms; the test moves it. */
  readonly real: { ms: number };
  put(planId: string, form: PlanForm, cookie: string, revision?: number): ReturnType<Bed['ask']>;
  close(): Promise<void>;
}

/** The hut kitchen's evening, as a phone would enter it. */
export const LAMB: PlanForm = {
  name: 'Supper for eight',
  serveBy: '2026-11-27 19:30',
  zone: 'Europe/Zurich',
  peopleCount: 8,
  dishes: [{ cut: 'lamb shoulder', massKg: 2, thicknessMm: 70 }],
  bathC: 74,
};

/** Starts it; `folder` of an earlier bed starts it anew on the same plans. */
export async function planBed(
  hub: FakeHub = new FakeHub(),
  folder?: string,
  rig: RigView | null = null,
): Promise<PlanBed> {
  const dir = folder ?? mkdtempSync(join(tmpdir(), 'bathkeeper-plans-'));
  const nudges: Nudge[] = [];
  const log: string[] = [];
  const real = { ms: 0 };
  const desk = await openPlanDesk({
    store: planFiles(
      dir,
      () => hub.wallMs,
      (line) => log.push(line),
    ),
    reader: hub.reader,
    box: { litres: 21, elementWatts: 1000, spareLitres: null, circulation: 'pumped' },
    rigView: () => rig,
    profileId: 'conservative',
    zone: 'Europe/Zurich',
    wallMs: () => hub.wallMs,
    monotonicMs: () => real.ms,
    beliefs: () => [],
    remind: (nudge) => nudges.push(nudge),
    log: (line) => log.push(line),
  });
  const withPlans = Object.assign(hub, { plans: desk }) as PlanHub;
  hub.onCommitted((committed) => desk.take(committed));
  const bed = await makeBedOn(withPlans);
  return {
    bed,
    desk,
    folder: dir,
    nudges,
    log,
    real,
    put: (planId, form, cookie, revision) =>
      bed.ask({
        method: 'PUT',
        path: `/api/plans/${planId}`,
        headers: { origin: bed.origin, 'content-type': 'application/json', ...(cookie ? { cookie } : {}) },
        body: JSON.stringify(revision === undefined ? { form } : { form, revision }),
      }),
    async close() {
      await bed.close();
      await desk.close();
      if (folder === undefined) rmSync(dir, { recursive: true, force: true });
    },
  };
}

import { boxOf } from '../shared/plan/rig-view.ts';
import type { Config } from '../shared/wire/config.ts';
import type { Calls } from './calls.ts';
import type { Engine } from './engine.ts';
import type { JournalReader } from './journal/reader.ts';
import { openPlanDesk, type PlanDesk } from './serve/plans/desk.ts';
import { planFiles } from './serve/plans/store.ts';
import { rigFigures } from './tick/control/identify/figures.ts';

/** What the plans of a kitchen are opened with. */
export interface PlansParts {
  readonly config: Config;
  /** Folder of this kind of rig: plans of a demo do not stand among real ones. */
  readonly folder: string;
  readonly engine: Engine;
  readonly reader: JournalReader;
  /** Null where nobody is called, as in demo time. */
  readonly calls: Pick<Calls, 'remind'> | null;
  readonly wallMs: () => number;
  readonly log: (line: string) => void;
}

/** Opens the plans and lets them follow the engine. Rejects where their folder cannot be read. */
export async function openPlans(parts: PlansParts): Promise<PlanDesk> {
  const { config, folder, engine, reader, calls, wallMs, log } = parts;
  const desk = await openPlanDesk({
    store: planFiles(folder, wallMs, log),
    reader,
    rigView: (atC) => {
      const { rig, settings, watch } = engine.state();
      return rigFigures(rig, settings, atC, watch.roomC);
    },
    box: boxOf(config),
    profileId: config.profile,
    zone: config.reach.timeZone ?? Intl.DateTimeFormat().resolvedOptions().timeZone,
    wallMs,
    monotonicMs: () => performance.now(),
    beliefs: () => engine.state().kitchen,
    remind: calls ? (nudge) => calls.remind(nudge) : null,
    log,
  });
  engine.onCommitted((shown) => desk.take(shown));
  return desk;
}

import { readdir, readFile, rename, rm } from 'node:fs/promises';
import { join } from 'node:path';
import { type StoredPlan, storedPlanSchema } from '../../../shared/wire/plan.ts';
import { writeWhole } from '../whole-file.ts';

/** Where plans outlive the controller. */
export interface PlanStore {
  load(): Promise<StoredPlan[]>;
  /** Resolves once it is on disk. */
  save(plan: StoredPlan): Promise<void>;
  remove(planId: string): Promise<void>;
}

/**
 * Keeps each plan in a file of its own in the folder `plans` of the data folder. What cannot be read is set aside
 * under another name and told, so that one torn file costs one plan.
 */
export function planFiles(dataDir: string, nowMs: () => number, log: (line: string) => void): PlanStore {
  const folder = join(dataDir, 'plans');
  const pathOf = (planId: string) => join(folder, `${planId}.json`);
  const read = async (name: string): Promise<StoredPlan | null> => {
    const path = join(folder, name);
    const parsed = storedPlanSchema.safeParse(asJson(await readFile(path, 'utf8')));
    if (parsed.success && `${parsed.data.planId}.json` === name) return parsed.data;
    const aside = `${path}.unreadable-${nowMs()}`;
    await rename(path, aside);
    log(`A kept plan could not be read. Its file was set aside as ${aside}.`);
    return null;
  };
  return {
    async load() {
      const names = (await namesIn(folder)).filter((name) => name.endsWith('.json')).sort();
      const plans: StoredPlan[] = [];
      for (const name of names) {
        const plan = await read(name);
        if (plan) plans.push(plan);
      }
      return plans;
    },
    save: (plan) => writeWhole(pathOf(plan.planId), JSON.stringify(plan)),
    remove: (planId) => rm(pathOf(planId), { force: true }),
  };
}

function asJson(text: string): unknown {
  try {
    return JSON.parse(text);
  } catch {
    return null;
  }
}

async function namesIn(folder: string): Promise<string[]> {
  try {
    return await readdir(folder);
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code === 'ENOENT') return [];
    throw error;
  }
}

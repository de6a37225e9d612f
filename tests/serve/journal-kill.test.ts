import { describe, expect, it } from 'vitest';
import { openJournal } from '../../controller/journal/journal.ts';
import { type JournalReader, openReader } from '../../controller/journal/reader.ts';
import { type Sample, TIERS_S } from '../../shared/wire/rows.ts';
import type { TickInput } from '../../shared/wire/tick.ts';
import { aggregate } from './journal-aggregate.ts';
import { COOK_ID, endlessTick, options } from './journal-fixture.ts';
import { ownFolder } from './journal-folder.ts';
import { WriterProcess } from './journal-process.ts';

/** More kills and other moments: BATHKEEPER_KILLS=200 BATHKEEPER_SEED=7 npx vitest run tests/serve/journal-kill.test.ts */
const KILLS = Number(process.env.BATHKEEPER_KILLS ?? 5);
const SEED = Number(process.env.BATHKEEPER_SEED ?? 1);

/** mulberry32: a small generator in the public domain, enough to spread the moments. */
function random(seed: number): () => number {
  let state = seed >>> 0;
  return () => {
    state = (state + 0x6d2b79f5) >>> 0;
    let t = Math.imul(state ^ (state >>> 15), 1 | state);
    t = (t + Math.imul(t ^ (t >>> 7), 61 | t)) ^ t;
    return ((t ^ (t >>> 14)) >>> 0) / 2 ** 32;
  };
}

async function allSamples(reader: JournalReader): Promise<Sample[]> {
  const all: Sample[] = [];
  for (;;) {
    const page = await reader.samples(COOK_ID, all.at(-1)?.sequence ?? 0, 2000);
    if (page.length === 0) return all;
    all.push(...page);
  }
}

/** Everything that must be so after any kill. Gives the last sequence on disk. */
async function checkAll(path: string, acknowledged: number): Promise<number> {
  const reader = await openReader(path);
  try {
    const last = await reader.lastSequence();
    expect(last).toBeGreaterThanOrEqual(acknowledged);
    const expected = Array.from({ length: last }, (_, n) => endlessTick(n + 1));
    const samples = await allSamples(reader);
    expect(samples).toEqual(expected.map(({ sample }) => sample));
    const { commands, events } = await reader.cook(COOK_ID);
    expect(events).toEqual(expected.flatMap((record) => record.events));
    expect(commands.map(({ command }) => command)).toEqual(
      expected.flatMap((record) => record.commands.map(({ command }) => command)),
    );
    for (const widthS of TIERS_S) {
      const tiers = await reader.tiers(COOK_ID, widthS, 0, Number.MAX_SAFE_INTEGER);
      expect(tiers).toEqual(aggregate(samples, widthS).slice(0, -1));
    }
    return last;
  } finally {
    await reader.close();
  }
}

describe('a controller that is killed', () => {
  it(`loses no acknowledged row and resumes where the log ends (${KILLS} kill -9 under load, seed ${SEED})`, async () => {
    const folder = ownFolder();
    const { path } = options(folder);
    const next = random(SEED);
    let last = 0;
    for (let kill = 0; kill < KILLS; kill += 1) {
      const writer = new WriterProcess(folder, `boot-${kill}`);
      await writer.reaches(last);
      await new Promise((resolve) => setTimeout(resolve, next() * 400));
      await writer.kill();
      expect(writer.failures).toEqual([]);
      const found = await checkAll(path, writer.acknowledged);
      expect(found).toBeGreaterThan(last);
      last = found;
    }
    const journal = await openJournal(options(folder, { bootId: 'after' }));
    expect(journal.report).toMatchObject({ lastSequence: last, setAside: null, created: false });
    const reader = await openReader(path);
    const resume = await reader.resume();
    const from = resume.snapshot?.sequence ?? 0;
    expect(from % 600).toBe(0);
    if (resume.snapshot) expect(JSON.parse(resume.snapshot.stateJson)).toEqual({ sequence: from });
    const inputs: TickInput[] = [];
    for (let n = from + 1; n <= last; n += 1) inputs.push(endlessTick(n).input);
    expect(resume.inputs).toEqual(inputs);
    expect(resume.runningCook?.cookId).toBe(COOK_ID);
    expect((await reader.cook(COOK_ID)).runs.map(({ bootId }) => bootId)).toEqual(
      Array.from({ length: KILLS }, (_, kill) => `boot-${kill}`),
    );
    await reader.close();
    await journal.close();
  }, 600_000);

  it('frees its log by dying, while a second one is refused for as long as it lives', async () => {
    const folder = ownFolder();
    const writer = new WriterProcess(folder, 'first');
    await writer.reaches(0);
    await expect(openJournal(options(folder))).rejects.toMatchObject({ code: 'database-busy' });
    const reader = await openReader(options(folder).path);
    expect(await reader.lastSequence()).toBeGreaterThan(0);
    await reader.close();
    await writer.kill();
    const journal = await openJournal(options(folder));
    await expect(openJournal(options(folder))).rejects.toMatchObject({ code: 'database-busy' });
    await journal.close();
    await (await openJournal(options(folder))).close();
  });
});

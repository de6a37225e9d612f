import Database from 'better-sqlite3';
import { beforeAll, describe, expect, it } from 'vitest';
import { restartAfter } from '../../controller/away.ts';
import { pack, packText, unpack } from '../../controller/journal/codec.ts';
import { openJournal } from '../../controller/journal/journal.ts';
import { openReader } from '../../controller/journal/reader.ts';
import { isThisForm, resumeState } from '../../controller/resume.ts';
import { leastLog10 } from '../../controller/tick/estimate/bag.ts';
import { heatOnlyVouched } from '../../controller/tick/outage/unvouched.ts';
import type { TickState } from '../../controller/tick/state.ts';
import { statusOf } from '../../controller/tick/status.ts';
import { tick } from '../../controller/tick/tick.ts';
import { vouchedResume } from '../../controller/vouched.ts';
import { trackResult } from '../../shared/hazard/track-view.ts';
import type { TickInput } from '../../shared/wire/tick.ts';
import { benchCook, hutBags, say } from '../control/cook.ts';
import { options, START_MS } from './journal-fixture.ts';
import { ownFolder } from './journal-folder.ts';

/** The last minutes of a cook, while its food earns lethality: states and inputs by their tick. */
const cook = benchCook({ startC: 68, keepInputs: true });
const states = new Map<number, TickState>();
let first = 0;
let last = 0;
beforeAll(() => {
  cook.say(say.start(68));
  cook.run(900);
  cook.say(...hutBags());
  // Warm enough to earn, and not yet done.
  while (Math.min(...cook.state().bags.map(least)) < 1) cook.run(60);
  first = cook.state().sequence;
  states.set(first, cook.state());
  for (let n = 0; n < 300; n += 1) {
    cook.run(1);
    states.set(first + n + 1, cook.state());
  }
  last = cook.state().sequence;
}, 120_000);

const least = ({ estimate }: TickState['bags'][number]): number => leastLog10(estimate);
const grown = ({ estimate, carriedS, inAtS }: TickState['bags'][number]): number =>
  trackResult(estimate.track, carriedS - inAtS).worst.growth.log10;
const stateAt = (sequence: number): TickState => states.get(sequence) as TickState;

/** The log of these minutes, with whole states kept after the ticks given, then changed. */
async function logged(kept: readonly number[], change: (db: Database.Database) => void): Promise<string> {
  const folder = ownFolder();
  const journal = await openJournal(options(folder));
  journal.snapshot(first, JSON.stringify(stateAt(first)));
  let state = stateAt(first);
  for (const input of cook.inputs.filter(({ sequence }) => sequence > first)) {
    const stepped = tick(state, input);
    state = stepped.state;
    const { sample, events, alarms, cook: row, bags } = stepped.output;
    const cookId = state.cook?.cookId ?? null;
    journal.write({ input, sample, cookId, events, alarms, commands: [], cook: row, bags });
    if (!kept.includes(input.sequence)) continue;
    await journal.flush();
    journal.snapshot(input.sequence, JSON.stringify(state));
    await journal.flush();
  }
  await journal.flush();
  await journal.close();
  const db = new Database(options(folder).path);
  change(db);
  db.close();
  return folder;
}

/** Changes the water that one tick was given, so that it can be read as well as before. */
const warmer = (sequence: number, byK: number) => (db: Database.Database) => {
  const bytes = db.prepare('SELECT input FROM tick WHERE sequence = ?').pluck().get(sequence) as Uint8Array;
  const input = unpack(bytes) as TickInput;
  const { bath } = input.readings;
  const celsius = (bath.celsius ?? 0) + byK;
  const changed = { ...input, readings: { ...input.readings, bath: { ...bath, celsius } } };
  db.prepare('UPDATE tick SET input = ? WHERE sequence = ?').run(pack(changed), sequence);
};

/** What a controller that is started on it goes on from, and what its first tick is told. */
async function started(folder: string) {
  const journal = await openJournal(options(folder, { bootId: 'after' }));
  const reader = await openReader(options(folder).path);
  const { settings } = stateAt(first);
  const { found, changed, soundThrough } = await vouchedResume(reader, isThisForm, journal.report.doubt);
  const resumed = await resumeState(found, settings, (id) => reader.inputs(id), null, soundThrough);
  const wallMs = stateAt(last).wallMs + 5000;
  const clock = { monotonicMs: () => 0, wallMs: () => wallMs, wallTrusted: () => true };
  const said: string[] = [];
  const means = { clock, mark: { awayMs: () => null }, log: (line: string) => void said.push(line) };
  const restart = restartAfter({ found, resumed, changed }, journal.report, means);
  await reader.close();
  await journal.close();
  return { found, resumed, soundThrough, changed, restart, said };
}

/** The first ticks of that controller, until the power cut is reckoned. */
function begun({ resumed, restart }: Awaited<ReturnType<typeof started>>): TickState {
  const before = cook.inputs.at(-1) as TickInput;
  let { state } = resumed;
  for (let n = 1; n <= 125; n += 1) {
    const wallMs = before.wallMs + 5000 + n * 1000;
    const bath = { ...before.readings.bath, monotonicMs: n * 1000, sequence: n };
    const readings = { ...before.readings, bath };
    const input = { ...before, sequence: last + n, monotonicMs: n * 1000, wallMs, readings, commands: [] };
    state = tick(state, { ...input, restart: n === 1 ? restart : null }).state;
  }
  return state;
}

describe('rows that can be read and are not what was recorded', () => {
  it('earn no lethality from the first of them on, growth is counted at its worst, and people decide', async () => {
    const from = last - 200;
    const all = await started(await logged([], warmer(from, 0.5)));
    expect(all.soundThrough).toBe(from - 1);
    expect(all.changed[0]).toMatchObject({ sequence: from, kind: 'input' });
    expect(all.restart?.log).toMatchObject({ what: 'altered', unsoundAfter: from - 1, rows: 201 });
    expect(all.restart?.log?.fromMs).toBe(stateAt(from - 1).wallMs);
    const [sound, whole] = [stateAt(from - 1), stateAt(last)];
    for (const [n, bag] of all.resumed.state.bags.entries()) {
      expect(least(whole.bags[n]!)).toBeGreaterThan(least(sound.bags[n]!) + 0.1);
      expect(least(bag)).toBeLessThanOrEqual(least(sound.bags[n]!) + 1e-9);
      expect(grown(bag)).toBeGreaterThanOrEqual(grown(whole.bags[n]!));
      expect(bag.estimate.core.lowC).toBeLessThan(whole.bags[n]!.estimate.core.lowC);
    }
    const state = begun(all);
    // Two minutes of it were watched again by now: these count, and nothing between.
    for (const [n, bag] of state.bags.entries()) {
      const perTick = (least(whole.bags[n]!) - least(sound.bags[n]!)) / 201;
      expect(least(bag)).toBeLessThan(least(sound.bags[n]!) + 125 * perTick);
    }
    const alarm = state.alarms.find(({ alarmId }) => alarmId === 'log-damaged');
    expect(alarm?.state).toMatch(/unacknowledged$/);
    expect(alarm?.detail).toMatch(/the input of tick \d+: .*201 seconds, from .* No lethality is credited/);
    expect(statusOf(state).outage?.bags.map(({ decision }) => decision)).toEqual([null, null, null]);
    // Heat and its limits go by the rows as they are: food kept cold for want of an answer would be worse.
    expect(state.trip).toBeNull();
  });

  it('cost nothing where they are sound: the same start goes on with all that was earned', async () => {
    const all = await started(await logged([], () => undefined));
    expect(all.soundThrough).toBe(Number.POSITIVE_INFINITY);
    expect(all.restart).toEqual({ awayMs: 5000 });
    expect(JSON.stringify(all.resumed.state)).toBe(JSON.stringify(stateAt(last)));
  });

  it('are passed over where they are a whole state: it is made again from the one before it, and told', async () => {
    const at = last - 100;
    const better = structuredClone(stateAt(at)) as unknown as { bags: { metAtMs: number }[] };
    for (const bag of better.bags) bag.metAtMs = 1;
    const put = (db: Database.Database) =>
      void db
        .prepare('UPDATE snapshot SET state = ? WHERE sequence = ?')
        .run(packText(JSON.stringify(better)), at);
    const all = await started(await logged([at], put));
    expect(all.found.snapshot?.sequence).toBe(first);
    expect(JSON.stringify(all.resumed.state)).toBe(JSON.stringify(stateAt(last)));
    expect(all.said.join()).toMatch(`the state kept after tick ${at}`);
    expect(all.restart?.log).toMatchObject({ what: 'altered', rows: 0 });
    expect(all.restart?.log?.unsoundAfter).toBeUndefined();
  });

  it('are passed over where a whole state is the last of the log, which no tick has sealed', async () => {
    const all = await started(await logged([last], () => undefined));
    expect(all.found.snapshot?.sequence).toBe(first);
    expect(JSON.stringify(all.resumed.state)).toBe(JSON.stringify(stateAt(last)));
  });

  it('that tell of a bag which nobody entered before them leave it in the bath with nothing earned', async () => {
    const from = last - 150;
    const all = await started(
      await logged([], (db) => {
        warmer(from, 0.5)(db);
        const row = db
          .prepare('SELECT input FROM tick WHERE sequence = ?')
          .pluck()
          .get(from + 1);
        const input = unpack(row as Uint8Array) as TickInput;
        const [bag] = hutBags();
        const told = { ...bag, id: 'late', bag: { ...(bag as { bag: object }).bag, bagId: 'late' } };
        db.prepare('UPDATE tick SET input = ? WHERE sequence = ?').run(
          pack({ ...input, commands: [told] as never }),
          from + 1,
        );
      }),
    );
    const late = all.resumed.state.bags.find(({ spec }) => spec.bagId === 'late');
    expect(late?.outAtMs).toBeNull();
    expect(least(late!)).toBe(0);
  });
});

describe('heat on rows that the chain does not vouch for', () => {
  const changedTo = (change: (state: TickState) => Partial<TickState>) => {
    const full = stateAt(last);
    return { ...full, ...change(full) };
  };

  it('goes on where the last vouched second asked for it, and waits for a person where only those rows do', () => {
    const full = stateAt(last);
    const stopped = (sound: TickState | null) => heatOnlyVouched(sound, full).heat.stoppedBy;
    expect(stopped(stateAt(last - 100))).toBeNull();
    for (const sound of [
      null,
      changedTo(() => ({ cook: null })),
      changedTo(({ cook }) => ({ cook: cook && { ...cook, cookId: 'the-one-before' } })),
      changedTo(({ cook }) => ({ cook: cook && { ...cook, endedAtMs: 1 } })),
      changedTo(({ cook }) => ({ cook: cook && { ...cook, setpointC: 60 } })),
      changedTo(({ heat }) => ({ heat: { ...heat, stoppedBy: 'Hut phone' } })),
    ])
      expect(stopped(sound)).toMatch(/allow heat again/);
    const off = changedTo(({ heat }) => ({ heat: { ...heat, stoppedBy: 'Hut phone' } }));
    expect(heatOnlyVouched(null, off).heat.stoppedBy).toBe('Hut phone');
  });

  it('stays tripped where only those rows tell that somebody cleared the trip', () => {
    const trip = { alarmId: 'over-temperature', atMs: 1, detail: 'Seen.' } as const;
    const tripped = changedTo(({ alarms }) => ({
      trip,
      alarms: alarms.map((one) => (one.alarmId === trip.alarmId ? { ...one, state: 'latched' } : one)),
    }));
    const state = heatOnlyVouched(tripped, stateAt(last));
    expect(state.trip).toEqual(trip);
    const input = { ...(cook.inputs.at(-1) as TickInput), sequence: last + 1, commands: [] };
    const next = tick(state, input).state;
    expect(next).toMatchObject({ trip, heat: { granted: false } });
  });
});

describe('a tick whose link is gone', () => {
  it('is vouched for by nothing, nor is any after it: its food earns nothing', async () => {
    const from = last - 100;
    const gone = (db: Database.Database) =>
      void db.prepare('UPDATE tick SET link = NULL WHERE sequence >= ?').run(from);
    const all = await started(await logged([], gone));
    expect(all.soundThrough).toBe(from - 1);
    expect(all.said.join()).toMatch(`the link of tick ${from}: it is gone`);
    const sound = stateAt(from - 1);
    for (const [n, bag] of all.resumed.state.bags.entries())
      expect(least(bag)).toBeLessThanOrEqual(least(sound.bags[n]!) + 1e-9);
  });
});

describe('a log whose mark is of another one', () => {
  it('is vouched for by nothing: its food is credited with nothing, and it is told what is wrong', async () => {
    const folder = await logged([], () => undefined);
    const other = await openJournal(options(ownFolder(), { wallMs: START_MS }));
    await other.close();
    const db = new Database(options(folder).path);
    // As where all links were made anew over changed rows: only the mark still knows the old one.
    db.prepare('UPDATE tick SET link = zeroblob(32) WHERE sequence = ?').run(last);
    db.close();
    const all = await started(folder);
    expect(all.soundThrough).toBe(0);
    for (const bag of all.resumed.state.bags) expect(least(bag)).toBe(0);
    expect(all.restart?.log).toMatchObject({ what: 'altered', unsoundAfter: 0 });
    // Nobody is known to have asked this bath for heat: it waits for a person, in words.
    expect(begun(all).heat).toMatchObject({
      granted: false,
      stoppedBy: expect.stringMatching(/allow heat again/),
    });
    expect(all.restart?.awayMs).toBeNull();
  });
});

import { readdirSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { type Committed, openJournal } from '../../controller/journal/journal.ts';
import { openReader } from '../../controller/journal/reader.ts';
import type { TickInput } from '../../shared/wire/tick.ts';
import { COOK_ID, cookOf, cookRow, options, START_MS, tick } from './journal-fixture.ts';
import { ownFolder } from './journal-folder.ts';

describe('the journal', () => {
  it('gives back every tick, row and input exactly as it was written, digit for digit', async () => {
    const folder = ownFolder();
    const records = cookOf(700);
    const journal = await openJournal(options(folder));
    for (const record of records) journal.write(record);
    await journal.close();
    const reader = await openReader(options(folder).path);
    const samples = await reader.samples(COOK_ID, 0, 5000);
    expect(samples).toEqual(records.map(({ sample }) => sample));
    const inputs: TickInput[] = [];
    for await (const input of reader.inputs(COOK_ID)) inputs.push(input);
    expect(inputs).toEqual(records.map(({ input }) => input));
    const detail = await reader.cook(COOK_ID);
    expect(detail.events).toEqual(records.flatMap(({ events }) => events));
    expect(detail.alarms).toEqual(records.flatMap(({ alarms }) => alarms));
    expect(detail.commands.map(({ command, result }) => ({ command, result }))).toEqual(
      records.flatMap(({ commands }) => commands),
    );
    expect(detail.cook).toEqual(records.at(-1)?.cook);
    expect(detail.bags.map((bag) => [bag.bagId, bag.outAtMs === null])).toEqual([
      ['shoulder-1', false],
      ['shoulder-2', true],
      ['neck', true],
    ]);
    await reader.close();
  });

  it('tells each commit with exactly the records committed, each once and in order', async () => {
    const journal = await openJournal(options(ownFolder(), { commitEveryMs: 5 }));
    const told: Committed[] = [];
    journal.onCommitted((committed) => told.push(committed));
    const records = cookOf(500);
    for (const [index, record] of records.entries()) {
      journal.write(record);
      if (index % 60 === 0) await new Promise((resolve) => setTimeout(resolve, 5));
    }
    await journal.close();
    expect(told.length).toBeGreaterThan(1);
    expect(told.flatMap((committed) => committed.records)).toEqual(records);
    for (const { throughSequence, records: part } of told) {
      expect(throughSequence).toBe(part.at(-1)?.sample.sequence);
    }
  });

  it('shows a reader nothing that has not been told as committed, and everything that has', async () => {
    const folder = ownFolder();
    const journal = await openJournal(options(folder, { commitEveryMs: 60_000 }));
    const reader = await openReader(options(folder).path);
    journal.write(tick(1));
    expect(await reader.lastSequence()).toBe(0);
    await journal.flush();
    expect(await reader.lastSequence()).toBe(1);
    await reader.close();
    await journal.close();
  });

  it('sends a command, an alarm or a decision to the disk at once and lets plain samples wait for company', async () => {
    const journal = await openJournal(options(ownFolder(), { commitEveryMs: 3_600_000 }));
    const [start, plain, later] = cookOf(10);
    const told: number[] = [];
    const first = new Promise<void>((resolve) => {
      journal.onCommitted(({ throughSequence }) => {
        told.push(throughSequence);
        resolve();
      });
    });
    if (start) journal.write(start);
    await first; // with an hour to wait, only "at once" can end this
    if (plain) journal.write(plain);
    if (later) journal.write(later);
    await new Promise((resolve) => setImmediate(resolve));
    expect(told).toEqual([1]);
    expect(journal.lagMs(3000.123)).toBeCloseTo(1000, 6); // the oldest is tick 2, at 2000.123
    await journal.flush();
    expect(told).toEqual([1, 3]);
    expect(journal.lagMs(3000.123)).toBe(0);
    await journal.close();
  });

  it('counts lag in real time where a simulation runs faster than real time', async () => {
    const journal = await openJournal(options(ownFolder(), { commitEveryMs: 3_600_000, speed: 60 }));
    journal.write(tick(1, { monotonicMs: 0 }));
    expect(journal.lagMs(60_000)).toBe(1000);
    await journal.close();
  });

  it('gives a restart the newest snapshot, every input after it and the cook that was running', async () => {
    const folder = ownFolder();
    const journal = await openJournal(options(folder));
    const records = cookOf(2000).slice(0, 1500);
    for (const record of records) {
      journal.write(record);
      const { sequence } = record.sample;
      if (sequence % 600 === 0) journal.snapshot(sequence, JSON.stringify({ at: sequence, word: 'ж"\\' }));
    }
    await journal.close();
    const reader = await openReader(options(folder).path);
    const resume = await reader.resume();
    expect(resume.snapshot).toEqual({
      sequence: 1200,
      stateJson: JSON.stringify({ at: 1200, word: 'ж"\\' }),
      codeVersion: '0.1.0+test',
      sealed: true,
    });
    expect(resume.inputs).toEqual(records.slice(1200).map(({ input }) => input));
    expect(resume.missing).toBe(0);
    expect(resume.lastSequence).toBe(1500);
    expect(resume.lastWallMs).toBe(START_MS + 1_500_000);
    expect(resume.runningCook).toEqual(cookRow());
    await reader.close();
  });

  it('gives an empty log nothing to resume, and no running cook after the cook has ended', async () => {
    const folder = ownFolder();
    const journal = await openJournal(options(folder));
    const reader = await openReader(options(folder).path);
    expect(await reader.resume()).toEqual({
      snapshot: null,
      inputs: [],
      missing: 0,
      lastSequence: 0,
      runningCook: null,
      lastWallMs: null,
    });
    for (const record of cookOf(30)) journal.write(record);
    await journal.flush();
    expect((await reader.resume()).runningCook).toBeNull();
    await reader.close();
    await journal.close();
  });

  it('keeps cooks apart from each other and from the time between them', async () => {
    const folder = ownFolder();
    const journal = await openJournal(options(folder));
    const idle = [tick(41, { cookId: null }), tick(42, { cookId: null })];
    const records = [...cookOf(40), ...idle, ...cookOf(40, 43, 'second')];
    for (const record of records) journal.write(record);
    await journal.close();
    const reader = await openReader(options(folder).path);
    const sequences = async (cookId: string | null) =>
      (await reader.samples(cookId, 0, 500)).map(({ sequence }) => sequence);
    expect(await sequences(COOK_ID)).toEqual(records.slice(0, 40).map(({ sample }) => sample.sequence));
    expect(await sequences(null)).toEqual([41, 42]);
    expect(await sequences('second')).toEqual(records.slice(42).map(({ sample }) => sample.sequence));
    expect((await reader.cooks()).map(({ cookId }) => cookId)).toEqual([COOK_ID, 'second']);
    expect(await reader.samples(COOK_ID, 10, 3)).toEqual(records.slice(10, 13).map(({ sample }) => sample));
    expect(await reader.samples(COOK_ID, 38, 500, 39)).toEqual([records[38]?.sample]);
    await expect(reader.cook('no such')).rejects.toMatchObject({ code: 'cook-unknown' });
    await reader.close();
  });

  it('tells and does not keep a tick whose number was given out before', async () => {
    const folder = ownFolder();
    const journal = await openJournal(options(folder));
    const failures: string[] = [];
    journal.onFailure((error) => failures.push(error.detail));
    journal.write(tick(7));
    journal.write(tick(7, { bathC: 1 }));
    journal.write(tick(6, { bathC: 1 }));
    await journal.close();
    expect(failures).toEqual([
      '(tick 7 came after tick 7; it was not kept)',
      '(tick 6 came after tick 7; it was not kept)',
    ]);
    const reader = await openReader(options(folder).path);
    expect(await reader.samples(COOK_ID, 0, 10)).toEqual([tick(7).sample]);
    await reader.close();
  });

  it('leaves one database file, its mark and its lock behind when it is closed in order', async () => {
    const folder = ownFolder();
    const journal = await openJournal(options(folder));
    for (const record of cookOf(50)) journal.write(record);
    await journal.close();
    expect(readdirSync(folder).sort()).toEqual([
      'journal.sqlite',
      'journal.sqlite-mark',
      'journal.sqlite-owner',
    ]);
  });
});

import { mkdtempSync, rmSync } from 'node:fs';
import { createRequire } from 'node:module';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { replayVerb } from '../../controller/cli/replay.ts';
import { pack, unpack } from '../../controller/journal/codec.ts';
import type { ReplayReport } from '../../controller/replay.ts';
import { settingsFrom } from '../../controller/tick/settings.ts';
import { checkConfig } from '../../shared/wire/config.ts';
import { type RunningController, startProcess, until } from './process.ts';

const folder = mkdtempSync(join(tmpdir(), 'bathkeeper-replay-'));
const started: RunningController[] = [];
afterAll(async () => {
  for (const one of started) await one.kill();
  rmSync(folder, { recursive: true, force: true });
});

async function replay(...argv: string[]): Promise<{ code: number; out: string; err: string }> {
  let out = '';
  let err = '';
  const io = {
    out: (text: string) => {
      out += text;
    },
    err: (text: string) => {
      err += text;
    },
  };
  return { code: await replayVerb([...argv, '--data', folder], io), out, err };
}

async function start(): Promise<RunningController> {
  const one = await startProcess(folder, ['--speed', '120']);
  started.push(one);
  await one.pair();
  return one;
}

const sequence = async (one: RunningController) =>
  ((await (await one.get('/api/health')).json()) as { sequence: number }).sequence;

describe('a replay of a recorded cook', () => {
  beforeAll(async () => {
    const first = await start();
    await first.command({ kind: 'start-cook', cookId: 'hut-supper', name: 'Hut supper', setpointC: 62 });
    const bag = {
      label: 'Pork neck',
      cutId: 'pork-neck',
      beta: 0.7,
      thicknessMm: 70,
      massKg: 1.4,
      startC: 5,
    };
    await first.command({ kind: 'bag-in', bag: { ...bag, bagId: 'neck' } });
    await first.plant({ kind: 'probe', probe: 'bath', fault: 'absent' });
    const begun = await sequence(first);
    await until(async () => (await sequence(first)) > begun + 60, first.output);
    await first.plant({ kind: 'probe', probe: 'bath', fault: 'none' });
    await until(async () => (await sequence(first)) > begun + 900, first.output);
    await first.kill();
    const second = await start();
    await second.command({ kind: 'fork-test', bagId: 'neck', answer: 'not-yet' });
    const resumed = await sequence(second);
    await until(async () => (await sequence(second)) > resumed + 700, second.output);
    expect(await second.stop()).toBe(0);
  });

  it('gives every output and alarm again, bit for bit, across a kill and a restart', async () => {
    const { code, out, err } = await replay('last', '--json');
    expect(err).toBe('');
    const report = JSON.parse(out) as ReplayReport;
    expect(report.shown).toEqual([]);
    expect(report).toMatchObject({ cookId: 'hut-supper', differences: 0, missing: 0, otherCode: [] });
    expect(report.ticks).toBeGreaterThan(1500);
    expect(report.snapshots).toBeGreaterThan(1);
    expect(code).toBe(0);
  });

  it('gives the same from any whole state on the way, and says what it compared', async () => {
    const whole = JSON.parse((await replay('last', '--json')).out) as ReplayReport;
    for (const share of [0.4, 0.7, 0.99]) {
      const from = Math.round(whole.fromSequence + share * whole.ticks);
      const { code, out } = await replay('last', '--json', '--from', String(from));
      const report = JSON.parse(out) as ReplayReport;
      expect([code, report.differences, report.shown]).toEqual([0, 0, []]);
      expect(report.fromSequence).toBeGreaterThan(whole.fromSequence);
      expect(report.fromSequence).toBeLessThanOrEqual(from);
      expect(report.fromSequence % 600).toBe(1);
      expect(report.ticks).toBe(report.throughSequence - report.fromSequence + 1);
    }
    expect(await replay('last', '--from', 'noon')).toMatchObject({
      code: 2,
      err: expect.stringContaining('noon'),
    });
  });

  it('takes every setting from the record alone, whatever kind of rig it was', () => {
    const checked = checkConfig({ bath: { litres: 24 } });
    if (!checked.ok) throw new Error(checked.faults.join());
    for (const kind of ['simulated', 'emulated', 'usb'] as const) {
      const live = settingsFrom(checked.config, '1', kind);
      const recorded = checkConfig(JSON.parse(live.configJson));
      if (!recorded.ok) throw new Error(recorded.faults.join());
      const again = settingsFrom(recorded.config, '1');
      expect({ ...again, configJson: '' }).toEqual({ ...live, configJson: '' });
      expect(JSON.parse(again.configJson)).toEqual(JSON.parse(live.configJson));
    }
  });

  it('finds a bag that was changed in the record, and one version that is missing', async () => {
    const Database = createRequire(import.meta.url)('better-sqlite3') as typeof import('better-sqlite3');
    const db = new Database(join(folder, 'simulated', 'journal.sqlite'));
    type Kept = { sequence: number; row: string };
    const kept = db.prepare('SELECT sequence, row FROM bag_version ORDER BY sequence').all() as Kept[];
    const [first, last] = [kept[0] as Kept, kept.at(-1) as Kept];
    const put = db.prepare('UPDATE bag_version SET row = ? WHERE sequence = ?');
    put.run(JSON.stringify({ ...JSON.parse(first.row), thicknessMm: 41 }), first.sequence);
    expect((await replay('hut-supper')).out).toMatch(
      new RegExp(`1 differences[\\s\\S]*tick ${first.sequence}, bags`),
    );
    put.run(first.row, first.sequence);
    const cook = db.prepare('SELECT * FROM cook_version ORDER BY sequence LIMIT 1').get() as {
      sequence: number;
    };
    db.prepare('UPDATE cook_version SET sequence = ? WHERE sequence = ?').run(
      last.sequence + 1,
      cook.sequence,
    );
    expect((await replay('hut-supper')).out).toMatch(
      new RegExp(`2 differences[\\s\\S]*tick ${cook.sequence}, cook`),
    );
    db.prepare('UPDATE cook_version SET sequence = ? WHERE sequence = ?').run(
      cook.sequence,
      last.sequence + 1,
    );
    db.close();
  });

  it('says which state or input cannot be read, what was expected, and from where it can be replayed instead', async () => {
    const Database = createRequire(import.meta.url)('better-sqlite3') as typeof import('better-sqlite3');
    const db = new Database(join(folder, 'simulated', 'journal.sqlite'));
    const kept = db.prepare('SELECT sequence, state FROM snapshot ORDER BY sequence').all() as {
      sequence: number;
      state: Uint8Array;
    }[];
    const [early, late] = kept.slice(-2) as [(typeof kept)[0], (typeof kept)[0]];
    const put = db.prepare('UPDATE snapshot SET state = ? WHERE sequence = ?');
    for (const bytes of [Buffer.alloc(30), pack([]), early.state.subarray(0, 200)]) {
      put.run(bytes, late.sequence);
      const found = await replay('hut-supper', '--json', '--from', String(late.sequence + 1));
      expect(found).toMatchObject({ code: 1, out: '' });
      expect(found.err).toMatch(`the whole state kept after tick ${late.sequence} cannot be read`);
      expect(found.err).toMatch(/expected a packed JSON object/);
      expect(found.err).toMatch(`--from ${early.sequence + 1}`);
      // What it names can be used, and the state that cannot be read is then one difference among all that was compared.
      const other = await replay('hut-supper', '--json', '--from', String(early.sequence + 1));
      const report = JSON.parse(other.out) as ReplayReport;
      expect(report.shown.map(({ sequence, what }) => [sequence, what])).toEqual([[late.sequence, 'state']]);
    }
    put.run(late.state, late.sequence);
    const at = early.sequence + 5;
    const input = db.prepare('SELECT input FROM tick WHERE sequence = ?').pluck().get(at) as Uint8Array;
    const give = db.prepare('UPDATE tick SET input = ? WHERE sequence = ?');
    give.run(Buffer.alloc(40), at);
    const found = await replay('hut-supper', '--from', String(early.sequence + 1));
    expect(found.code).toBe(1);
    expect(found.err).toMatch(`the input of tick ${at} cannot be read`);
    expect(found.err).toMatch(`--from ${late.sequence + 1}`);
    const after = await replay('hut-supper', '--json', '--from', String(late.sequence + 1));
    expect([after.code, (JSON.parse(after.out) as ReplayReport).differences]).toEqual([0, 0]);
    give.run(input, at);
    for (const { sequence } of kept) put.run(Buffer.alloc(30), sequence);
    const none = await replay('hut-supper', '--from', String(late.sequence + 1));
    expect(none.err).toMatch(/No other one can be read: restore a backup/);
    for (const { sequence, state } of kept) put.run(state, sequence);
    db.close();
  });

  it('finds one reading that was changed in the record', async () => {
    const Database = createRequire(import.meta.url)('better-sqlite3') as typeof import('better-sqlite3');
    const db = new Database(join(folder, 'simulated', 'journal.sqlite'));
    const found = db
      .prepare('SELECT sequence, sample FROM tick ORDER BY sequence LIMIT 1 OFFSET 800')
      .get() as {
      sequence: number;
      sample: Uint8Array;
    };
    const sample = unpack<{ bathC: number }>(found.sample);
    db.prepare('UPDATE tick SET sample = ? WHERE sequence = ?').run(
      pack({ ...sample, bathC: sample.bathC + 0.0625 }),
      found.sequence,
    );
    db.close();
    const { code, out } = await replay('hut-supper');
    expect(code).toBe(1);
    expect(out).toMatch(new RegExp(`1 differences[\\s\\S]*tick ${found.sequence}, sample`));
  });

  it('names what was wrong with the request', async () => {
    expect(await replay('no-such-cook')).toMatchObject({ code: 2 });
    expect(await replay()).toMatchObject({
      code: 2,
      err: expect.stringContaining('expected the id of one cook'),
    });
    expect(await replay('last', '--spead')).toMatchObject({
      code: 2,
      err: expect.stringContaining('--help'),
    });
  });
});

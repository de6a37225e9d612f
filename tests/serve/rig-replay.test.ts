import { mkdirSync, mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { createRequire } from 'node:module';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, describe, expect, it } from 'vitest';
import { replayVerb } from '../../controller/cli/replay.ts';
import { unpackText } from '../../controller/journal/codec.ts';
import type { ReplayReport } from '../../controller/replay.ts';
import { loadRig, RIG_FILE, rigKeeper } from '../../controller/rig-file.ts';
import type { TickState } from '../../controller/tick/state.ts';
import { benchCook, say } from '../control/cook.ts';
import { type RunningController, startProcess, until } from './process.ts';

const folder = mkdtempSync(join(tmpdir(), 'bathkeeper-rig-replay-'));
let running: RunningController | null = null;
afterAll(async () => {
  await running?.kill();
  rmSync(folder, { recursive: true, force: true });
});

/** What the log says that it began with. */
function firstState(): TickState {
  const Database = createRequire(import.meta.url)('better-sqlite3') as typeof import('better-sqlite3');
  const db = new Database(join(folder, 'simulated', 'journal.sqlite'), { readonly: true });
  const state = db.prepare('SELECT state FROM snapshot WHERE sequence = 0').pluck().get() as Uint8Array;
  db.close();
  return JSON.parse(unpackText(state)) as TickState;
}

describe('a log that begins with the rig on record', () => {
  it('starts identified, keeps what it began with, and replays bit for bit; the rig is written again at the end', async () => {
    const cook = benchCook({ startC: 50 });
    cook.say(say.start(68));
    cook.run(5400);
    const path = join(folder, 'simulated', RIG_FILE);
    mkdirSync(join(folder, 'simulated'), { recursive: true });
    await rigKeeper(path, () => {})(cook.state());
    const before = loadRig(path);
    expect(before).not.toBeNull();

    const one = await startProcess(folder, ['--speed', '120']);
    running = one;
    await one.pair();
    const health = async () => (await (await one.get('/api/health')).json()) as { sequence: number };
    await one.command({ kind: 'start-cook', cookId: 'recalled', name: 'Recalled', setpointC: 60 });
    await until(async () => (await health()).sequence > 1500, one.output);
    await one.stop();
    running = null;

    expect(firstState().rig.identifiedAtMs).toBe(before!.identifiedAtMs);
    const said: string[] = [];
    const io = { out: (text: string) => void said.push(text), err: (text: string) => void said.push(text) };
    expect(await replayVerb(['recalled', '--json', '--data', folder], io), said.join('')).toBe(0);
    const report = JSON.parse(said.join('')) as ReplayReport;
    expect(report.differences, JSON.stringify(report.shown)).toBe(0);
    expect(report.ticks).toBeGreaterThan(1000);
    expect(report.snapshots).toBeGreaterThan(0);
    expect(JSON.parse(readFileSync(path, 'utf8')).identifiedAtMs).toBeGreaterThan(before!.identifiedAtMs);
  }, 120_000);
});

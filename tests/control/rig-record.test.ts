import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, describe, expect, it } from 'vitest';
import { loadRig, rigKeeper } from '../../controller/rig-file.ts';
import { rigFigures } from '../../controller/tick/control/identify/figures.ts';
import { type RigRecord, rigRecord } from '../../controller/tick/control/identify/record.ts';
import { settingsFrom } from '../../controller/tick/settings.ts';
import { startState, type TickState, withSettings } from '../../controller/tick/state.ts';
import { checkConfig } from '../../shared/wire/config.ts';
import { drawScene } from '../faults/scene.ts';
import { World } from '../faults/world.ts';

const folder = mkdtempSync(join(tmpdir(), 'bathkeeper-rig-'));
afterAll(() => rmSync(folder, { recursive: true, force: true }));

const seed = 4;
const scene = drawScene(seed, 'full');

/** A night's cook on the drawn rig, from cold water. */
function learned(): TickState {
  const world = new World(scene, scene.setpointC - 16, seed);
  world.startCook();
  while (world.atS < 2 * 3600) world.step();
  return world.state;
}

function recordOf({ rig, watch, settings }: TickState): RigRecord {
  const record = rigRecord(rig, watch.pair, settings);
  if (record === null) throw new Error('expected an identified rig');
  return record;
}

describe('what is known of the rig, kept between logs', () => {
  const before = learned();
  const path = join(folder, 'rig.json');

  it('survives the file: a new log begins with the same rig and its date', async () => {
    const lines: string[] = [];
    await rigKeeper(path, (line) => lines.push(line))(before);
    expect(lines).toEqual([]);
    const record = loadRig(path);
    expect(record).toEqual(JSON.parse(JSON.stringify(recordOf(before))));
    const after = startState(before.settings, record);
    const figures = (state: TickState) => rigFigures(state.rig, state.settings, scene.setpointC, 20);
    expect(figures(after).identifiedAtMs).toBe(figures(before).identifiedAtMs);
    expect(figures(after).rateCPerS.value).toBeCloseTo(figures(before).rateCPerS.value, 9);
    expect(figures(after).watts.value / figures(before).watts.value).toBeCloseTo(1, 2);
    expect(figures(after).lossLidOnW.value / figures(before).lossLidOnW.value).toBeCloseTo(1, 2);
    // A box is filled anew: the rate is known less well than it was, and still far better than described.
    const width = ({ low, high }: { low: number; high: number }) => Math.log(high / low);
    expect(width(figures(after).rateCPerS)).toBeGreaterThan(width(figures(before).rateCPerS));
    expect(width(figures(after).rateCPerS)).toBeLessThan(0.25);
  });

  it('is not written again while nothing was learned, and a file that cannot be written is told once', async () => {
    const lines: string[] = [];
    const blocked = join(folder, 'blocked');
    writeFileSync(blocked, 'a file where a folder is wanted');
    const keep = rigKeeper(join(blocked, 'rig.json'), (line) => lines.push(line));
    await keep(before);
    await keep(before);
    expect(lines).toHaveLength(1);
    const written = readFileSync(path, 'utf8');
    writeFileSync(path, `${written} `);
    await rigKeeper(path, () => {})(before);
    expect(readFileSync(path, 'utf8')).toBe(`${written} `);
  });

  it('is left aside where it is torn, of another form, or of a rig described otherwise', () => {
    const text = JSON.stringify(recordOf(before));
    for (const broken of [text.slice(0, 200), text.replace('"layout":1', '"layout":0'), '{}', 'null']) {
      writeFileSync(path, broken);
      expect(loadRig(path)).toBeNull();
    }
    const other = { ...before.settings, litres: before.settings.litres + 3 };
    expect(startState(other, recordOf(before)).rig.identifiedAtMs).toBeNull();
    expect(withSettings(before, other).rig.identifiedAtMs).toBeNull();
    expect(withSettings(before, before.settings).rig).toBe(before.rig);
  });

  it('shows a drift against it: the same box with a quarter less water, in a new log', () => {
    const litres = scene.spec.litres * 0.72;
    const less = { ...scene, spec: { ...scene.spec, litres } };
    const run = (spec: typeof scene) => {
      const world = new World(spec, scene.setpointC - 16, seed + 1);
      world.state = startState(world.state.settings, recordOf(before));
      world.startCook();
      const rang: string[] = [];
      while (world.atS < 3 * 3600)
        for (const row of world.step().output.alarms) if (row.to === 'unacknowledged') rang.push(row.alarmId);
      return rang;
    };
    expect(run(less)).toContain('rig-drift');
    expect(run(scene)).not.toContain('rig-drift');
  });
});

describe('presence on a rig that can burn', () => {
  const settings = (kind: 'simulated' | 'emulated' | 'usb', minutes: number | null = null) => {
    const checked = checkConfig({ safety: { presenceMinutes: minutes } });
    if (!checked.ok) throw new Error(checked.faults.join('\n'));
    return settingsFrom(checked.config, 'test', kind);
  };

  it('is asked for every 30 minutes unless the configuration says otherwise, and never where the bath is simulated', () => {
    expect(settings('usb').presenceS).toBe(1800);
    expect(settings('usb', 45).presenceS).toBe(2700);
    expect(settings('simulated').presenceS).toBeNull();
    expect(settings('emulated').presenceS).toBeNull();
    expect(settings('simulated', 20).presenceS).toBe(1200);
  });

  it('is the same again from what the log keeps of the configuration', () => {
    for (const kind of ['usb', 'simulated'] as const) {
      const told = settings(kind);
      const checked = checkConfig(JSON.parse(told.configJson));
      if (!checked.ok) throw new Error(checked.faults.join('\n'));
      expect(settingsFrom(checked.config, 'test')).toEqual(told);
    }
  });
});

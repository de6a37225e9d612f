import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { readCommissionings } from '../../controller/cli/rig/record.ts';
import { ROM } from './rig-bench.ts';
import { rigProcess } from './rig-process.ts';
import { type PtyBoard, ptyBoard } from './rig-pty.ts';

let bed: PtyBoard;
let folder: string;
let config: string;
let record: string;

beforeAll(async () => {
  bed = await ptyBoard();
  folder = mkdtempSync(join(tmpdir(), 'bath-cli-'));
  config = join(folder, 'bathkeeper.json');
  record = join(folder, 'commissioning.json');
  const probes = [{ rom: ROM.bath, role: 'bath' }];
  writeFileSync(config, JSON.stringify({ rig: { port: bed.path, probes, commissioningFile: record } }));
});
afterAll(async () => {
  await bed.close();
  rmSync(folder, { recursive: true, force: true });
});

describe('bathkeeper rig --commission, as a process on a real port', () => {
  it('goes by flags, with every check its own, and really kills the process that holds the port', async () => {
    const { board } = bed;
    const seen: string[] = [];
    let pulledWhileHeating = false;
    const deeds: [RegExp, () => void][] = [
      [/Hold the bath probe/, () => Object.assign(bed, { bathC: 64 })],
      [/Take the float .* out/, () => Object.assign(board, { waterPresent: false })],
      [/Let the float back/, () => Object.assign(board, { waterPresent: true })],
      [/pull the USB plug/, () => pullWhileHeating()],
      [/Plug it in again/, () => void bed.plug()],
    ];
    const pullWhileHeating = (): void => {
      let heatsSinceMs: number | null = null;
      const timer = setInterval(() => {
        if (board.heaterClosed) heatsSinceMs ??= board.nowMs;
        // As a person does: longer than one lease lasts, so that it is the plug that ends the heat.
        if (heatsSinceMs === null || board.nowMs - heatsSinceMs < 2500) return;
        clearInterval(timer);
        pulledWhileHeating = board.heaterClosed;
        bed.unplug();
      }, 5);
    };
    // The board's own clock: from the word that a step before the kill passed until the circuit has opened for good.
    let openedMs = Number.POSITIVE_INFINITY;
    const timeKill = (): void => {
      let struckMs: number | null = null;
      const timer = setInterval(() => {
        if (board.heaterClosed) struckMs ??= board.nowMs;
        else if (struckMs !== null) {
          openedMs = board.nowMs - struckMs;
          clearInterval(timer);
        }
      }, 2);
    };
    const watch = (line: string): void => {
      seen.push(line);
      if (/^silence: passed/.test(line)) timeKill();
      for (const [pattern, deed] of deeds) if (pattern.test(line)) deed();
    };
    const before = readFileSync(config, 'utf8');
    const answers = ['--ready', '--heard', 'yes', '--went-off', 'yes', '--cut-out', '98', '--called', 'yes'];
    const { code, out } = await rigProcess(
      ['--config', config, '--commission', '--by', 'Hut', '--json', ...answers],
      watch,
    );
    const [kept] = readCommissionings(record);
    expect(JSON.parse(out)).toEqual(kept);
    expect(kept?.steps.filter(({ outcome }) => outcome !== 'passed')).toEqual([]);
    expect(kept?.steps.map(({ step }) => step)).toEqual([
      ...['probe', 'level', 'regulating', 'guard', 'sounder'],
      ...['silence', 'killed', 'unplugged', 'cut-out', 'alarm-path'],
    ]);
    expect(kept?.steps.find(({ step }) => step === 'killed')?.seen).toMatch(
      /process killed; open when heard again/,
    );
    // What was seen was done by the board alone: the next process came only after any lease was over.
    const told = kept?.steps.find(({ step }) => step === 'killed')?.seen ?? '';
    expect(Number(/heard again after (\d+) ms/.exec(told)?.[1])).toBeGreaterThan(2000);
    expect(openedMs).toBeLessThanOrEqual(2000);
    expect(pulledWhileHeating).toBe(true);
    expect(code).toBe(0);
    expect(board.heaterClosed).toBe(false);
    // What leaving a cook alone rests on is kept with its date, and the rest of the configuration as it was.
    const written = JSON.parse(readFileSync(config, 'utf8'));
    const day = kept?.at.slice(0, 10);
    expect(written.safety).toMatchObject({ cutOutProvenOn: day, alarmPathProvenOn: day });
    expect(written.rig).toEqual(JSON.parse(before).rig);
  }, 120_000);
});

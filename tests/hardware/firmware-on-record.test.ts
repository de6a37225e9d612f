import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, describe, expect, it } from 'vitest';
import { type RunningController, startProcess, until } from '../serve/process.ts';

const folder = mkdtempSync(join(tmpdir(), 'bathkeeper-firmware-'));
const started: RunningController[] = [];
afterAll(async () => {
  for (const one of started) await one.kill();
  rmSync(folder, { recursive: true, force: true });
});

describe('the record of a cook on the emulated board', () => {
  it('names the firmware that the board itself said it runs, in the JSON, beside the CSV and on the page to print', async () => {
    const controller = await startProcess(folder, ['--rig', 'emulated']);
    started.push(controller);
    await controller.pair();
    const cook = { cookId: 'hut-supper', name: 'Hut supper', setpointC: 60 };
    expect((await controller.command({ kind: 'start-cook', ...cook })).status).toBe(200);
    const of = async (what: string) => (await controller.get(`/api/cooks/hut-supper/${what}`)).text();
    type Exported = { cook: { firmware?: string }; samples: unknown[] };
    const exported = async () => JSON.parse(await of('export.json')) as Exported;
    await until(async () => (await exported()).samples.length > 3, controller.output);
    const said = (await exported()).cook.firmware;
    expect(said).toBe('0.1.0');
    const { notes } = JSON.parse(await of('export.csv-metadata.json')) as { notes: object[] };
    expect(notes).toContainEqual({ claim: 'firmware of the board', origin: 'noted', value: said });
    expect((await of('record.html')).replaceAll(/<[^>]+>/g, ' ')).toMatch(
      new RegExp(`Firmware of the board\\s+noted\\s+${said}|Firmware of the board\\s+${said}`, 'i'),
    );
  }, 120_000);
});

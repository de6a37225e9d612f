import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, describe, expect, it } from 'vitest';
import { configKeys } from '../../controller/cli/config/keys.ts';
import { CONFIG_WORDS } from '../../controller/cli/config/words.ts';
import { configVerb } from '../../controller/cli/config.ts';

const folder = mkdtempSync(join(tmpdir(), 'bathkeeper-config-'));
afterAll(() => rmSync(folder, { recursive: true, force: true }));

/** Runs the verb on a file of this content. */
async function run(content: unknown, ...flags: string[]) {
  const path = join(folder, 'bathkeeper.json');
  writeFileSync(path, typeof content === 'string' ? content : JSON.stringify(content));
  let [out, err] = ['', ''];
  const io = { out: (text: string) => (out += text), err: (text: string) => (err += text) };
  const code = await configVerb(['--config', path, ...flags], io);
  return { code, out, err };
}

describe('the list of every key of the configuration', () => {
  it('has words for each key of the schema, and for none that is not there', () => {
    expect(configKeys().map(({ path }) => path)).toEqual(Object.keys(CONFIG_WORDS));
    for (const words of Object.values(CONFIG_WORDS)) expect(words).toMatch(/^[A-Z"].*\.$/);
  });

  it('says what a key means and takes, what it usually is, and what it is here', async () => {
    const { code, out } = await run({ bath: { litres: 14 } });
    expect(code).toBe(0);
    const litres = /^bath\.litres\n(?: {4}.*\n)+/m.exec(out)?.[0];
    expect(litres).toContain('not the size of the box');
    expect(litres).toContain('a number, 3 to 200; usually 21');
    expect(litres).toContain('here: 14');
    // What stands as usual is not said twice.
    expect(/^bath\.elementWatts\n(?: {4}.*\n)+/m.exec(out)?.[0]).not.toContain('here:');
    expect(out).toMatch(/^rig\.analogue\n.*\n {4}a list of at most 8; usually \[\]$/m);
    expect(out).toMatch(/^reach\.mail\.host\n.*\n {4}text.*; must be given$/m);
    expect(out).toMatch(/No faults\.\n$/);
  });

  it('gives the same as one JSON document', async () => {
    const { out } = await run({ bath: { litres: 14 } }, '--json');
    const { keys } = JSON.parse(out) as { keys: { path: string; here: unknown; usual: unknown }[] };
    expect(keys.find(({ path }) => path === 'bath.litres')).toMatchObject({ here: 14, usual: 21 });
    expect(keys).toHaveLength(configKeys().length);
  });

  it('names every fault of a file with its place, and prints no list that would hide them', async () => {
    const { code, out, err } = await run({ bath: { litres: 1, watts: 3 }, limits: { hardMaxC: 120 } });
    expect(code).toBe(2);
    expect(out).toBe('');
    for (const place of ['bath.litres', 'watts', 'limits.hardMaxC']) expect(err).toContain(place);
    expect(await run('{ "bath": ')).toMatchObject({ code: 2, err: expect.stringContaining('is not JSON') });
    expect(await run({}, '--confog')).toMatchObject({ code: 2, err: expect.stringContaining('confog') });
  });
});

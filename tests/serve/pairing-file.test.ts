import { chmod, mkdtemp, readdir, readFile, rm, stat, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { pairingFile } from '../../controller/serve/pairing-file.ts';

let folder: string;
beforeEach(async () => {
  folder = await mkdtemp(join(tmpdir(), 'pairing-'));
});
afterEach(() => rm(folder, { recursive: true }));

describe('pairing file', () => {
  it('gives back what was saved last, and null where nothing was', async () => {
    const store = pairingFile(join(folder, 'data'), () => 7);
    expect(await store.load()).toBeNull();
    await store.save('one');
    await store.save('two');
    expect(await store.load()).toBe('two');
  });

  it('can be read by its owner only', async () => {
    await pairingFile(folder, () => 7).save('x');
    expect((await stat(join(folder, 'paired-phones.json'))).mode & 0o777).toBe(0o600);
  });

  it('leaves the old list whole where a save breaks off before its end', async () => {
    const store = pairingFile(folder, () => 7);
    await store.save('old');
    // What a cut of power leaves behind: half of the new file under its temporary name.
    await writeFile(join(folder, 'paired-phones.json.new'), 'ne');
    expect(await store.load()).toBe('old');
    await store.save('newer');
    expect(await store.load()).toBe('newer');
    expect(await readdir(folder)).toEqual(['paired-phones.json']);
  });

  it('puts an unreadable list out of the way without losing it', async () => {
    const store = pairingFile(folder, () => 1234);
    await store.save('broken');
    const where = await store.setAside();
    expect(where).toContain('1234');
    expect(await readFile(where, 'utf8')).toBe('broken');
    expect(await store.load()).toBeNull();
  });

  it('does not hide that the list cannot be read', async () => {
    const store = pairingFile(folder, () => 7);
    await writeFile(join(folder, 'paired-phones.json'), 'x');
    await chmod(join(folder, 'paired-phones.json'), 0o000);
    // Root reads it all the same; anybody else must be told.
    const read = store.load();
    if (process.getuid?.() === 0) expect(await read).toBe('x');
    else await expect(read).rejects.toThrow(/EACCES/);
  });
});

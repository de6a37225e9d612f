import { mkdir, open, readFile, rename } from 'node:fs/promises';
import { dirname, join } from 'node:path';
import type { PairingStore } from './pairing.ts';

/** Keeps the paired phones in one small file of the data folder, readable by its owner only. */
export function pairingFile(dataDir: string, nowMs: () => number): PairingStore {
  const path = join(dataDir, 'paired-phones.json');
  return {
    load: async () => {
      try {
        return await readFile(path, 'utf8');
      } catch (error) {
        if ((error as NodeJS.ErrnoException).code === 'ENOENT') return null;
        throw error;
      }
    },
    save: (text) => writeWhole(path, text),
    setAside: async () => {
      const aside = `${path}.unreadable-${nowMs()}`;
      await rename(path, aside);
      return aside;
    },
  };
}

/** Temporary file in the same folder, flush, rename, flush the folder: a cut of power leaves old or new, never half. */
async function writeWhole(path: string, text: string): Promise<void> {
  const folder = dirname(path);
  await mkdir(folder, { recursive: true });
  const temporary = `${path}.new`;
  const file = await open(temporary, 'w', 0o600);
  try {
    await file.writeFile(text);
    await file.sync();
  } finally {
    await file.close();
  }
  await rename(temporary, path);
  const handle = await open(folder, 'r');
  try {
    await handle.sync();
  } finally {
    await handle.close();
  }
}

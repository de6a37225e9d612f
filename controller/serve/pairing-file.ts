import { readFile, rename } from 'node:fs/promises';
import { join } from 'node:path';
import type { PairingStore } from './pairing.ts';
import { writeWhole } from './whole-file.ts';

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

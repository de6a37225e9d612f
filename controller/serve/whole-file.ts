import { mkdir, open, rename } from 'node:fs/promises';
import { dirname } from 'node:path';

/**
 * Writes a file readable by its owner only: temporary file in the same folder, flush, rename, flush the folder. A cut
 * of power leaves old or new, never half.
 */
export async function writeWhole(path: string, text: string): Promise<void> {
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

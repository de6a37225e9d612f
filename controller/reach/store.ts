import { mkdir, open, readFile, rename } from 'node:fs/promises';
import { join } from 'node:path';

/** What is kept across restarts: `plan` how far the calling has got, `push` keys and phones. */
export type KeptName = 'plan' | 'push';

/** Where it is kept. */
export interface ReachStore {
  /** Null where there is nothing yet. */
  load(name: KeptName): Promise<string | null>;
  save(name: KeptName, text: string): Promise<void>;
  /** Puts aside what cannot be understood; gives its new name. */
  setAside(name: KeptName): Promise<string>;
}

/** Keeps it in small files of one folder, readable by their owner only: there are keys and addresses in them. */
export function reachFiles(folder: string, nowMs: () => number): ReachStore {
  const pathOf = (name: KeptName): string => join(folder, `reach-${name}.json`);
  return {
    async load(name) {
      try {
        return await readFile(pathOf(name), 'utf8');
      } catch (error) {
        if ((error as NodeJS.ErrnoException).code === 'ENOENT') return null;
        throw error;
      }
    },
    save: (name, text) => writeWhole(folder, pathOf(name), text),
    async setAside(name) {
      const aside = `${pathOf(name)}.unreadable-${nowMs()}`;
      await rename(pathOf(name), aside);
      return aside;
    },
  };
}

/** Temporary file, flush, rename, flush the folder: a cut of power leaves the old or the new, never half. */
export async function writeWhole(folder: string, path: string, text: string): Promise<void> {
  await mkdir(folder, { recursive: true });
  const file = await open(`${path}.new`, 'w', 0o600);
  try {
    await file.writeFile(text);
    await file.sync();
  } finally {
    await file.close();
  }
  await rename(`${path}.new`, path);
  const handle = await open(folder, 'r');
  try {
    await handle.sync();
  } finally {
    await handle.close();
  }
}

/** Writes the latest text, one write at a time; what comes meanwhile waits as one. */
export class Saver {
  private waiting: string | null = null;
  private writing: Promise<void> | null = null;
  private readonly write: (text: string) => Promise<void>;
  private readonly tell: (error: unknown) => void;

  /** `tell` hears of each write: null where it went well. */
  constructor(write: (text: string) => Promise<void>, tell: (error: unknown) => void) {
    this.write = write;
    this.tell = tell;
  }

  /** Hands in a text; never waits, never throws. */
  save(text: string): void {
    this.waiting = text;
    this.writing ??= this.run();
  }

  /** Resolves once all that was handed in is written, or could not be. */
  async settled(): Promise<void> {
    while (this.writing) await this.writing;
  }

  private async run(): Promise<void> {
    while (this.waiting !== null) {
      const text = this.waiting;
      this.waiting = null;
      try {
        await this.write(text);
        this.tell(null);
      } catch (error) {
        this.tell(error);
      }
    }
    this.writing = null;
  }
}

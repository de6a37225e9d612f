import { type ChildProcess, spawn } from 'node:child_process';
import { fileURLToPath } from 'node:url';

const SCRIPT = fileURLToPath(new URL('./journal-child.ts', import.meta.url));
const ROOT = fileURLToPath(new URL('../..', import.meta.url));

/** A real process that writes to a log, watched by what it says. */
export class WriterProcess {
  readonly #child: ChildProcess;
  readonly #gone: Promise<void>;
  #said = '';
  #listeners: (() => void)[] = [];

  constructor(folder: string, bootId: string) {
    this.#child = spawn(process.execPath, ['--import', 'tsx', SCRIPT, folder, bootId], {
      cwd: ROOT,
      stdio: ['ignore', 'pipe', 'inherit'],
    });
    this.#gone = new Promise((resolve) => this.#child.on('close', () => resolve()));
    this.#child.stdout?.setEncoding('utf8').on('data', (text: string) => {
      this.#said += text;
      for (const listener of this.#listeners) listener();
    });
    this.#child.on('close', () => {
      for (const listener of this.#listeners) listener();
    });
  }

  /** The highest sequence it has been told is on disk. */
  get acknowledged(): number {
    const lines = [...this.#said.matchAll(/^(?:open|acknowledged) (\d+)\n/gm)];
    return Number(lines.at(-1)?.[1] ?? 0);
  }

  get failures(): string[] {
    return [...this.#said.matchAll(/^failed .*$/gm)].map(([line]) => line);
  }

  /** Resolves once more than that is on disk; rejects where the process ends first. */
  reaches(sequence: number): Promise<void> {
    return new Promise((resolve, reject) => {
      const look = () => {
        if (this.acknowledged > sequence) resolve();
        else if (this.#child.exitCode !== null || this.#child.signalCode !== null) {
          reject(new Error(`the writer ended: ${this.#said.slice(-500)}`));
        }
      };
      this.#listeners.push(look);
      look();
    });
  }

  /** kill -9: the process gets no chance to tidy up. Resolves when it is gone and all it said has been read. */
  async kill(): Promise<void> {
    this.#child.kill('SIGKILL');
    await this.#gone;
  }
}

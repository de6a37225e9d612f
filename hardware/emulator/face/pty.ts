import { type ChildProcess, spawn } from 'node:child_process';
import { stat } from 'node:fs/promises';
import type { Board } from '../board/board.ts';

/** A pseudo-terminal that leads to a board. */
export interface BoardPty {
  /** Path to open as a serial port. */
  readonly path: string;
  /** Removes the pseudo-terminal; whoever has it open sees the port vanish. */
  close(): Promise<void>;
}

/** Where and by what the pseudo-terminal is made. */
export interface BoardPtyOptions {
  /** Path of the link to make, for example `/tmp/bath-board`. */
  path: string;
  /** The program that makes it. Default `socat` from the PATH. */
  socat?: string;
}

// While nobody reads, a serial adapter throws away what does not fit in its buffer; so do we.
const MOST_UNREAD = 4096;
const OPEN_WITHIN_MS = 5000;
const LOOK_EVERY_MS = 10;

/**
 * Gives a board a pseudo-terminal by a `socat` child, so that a program with a serial-port library can open it; no
 * native add-on is needed. Pulling the board's USB plug makes the pseudo-terminal vanish, as a real port does. The
 * board must be kept going by `runInRealTime`. Throws when socat is missing or the path cannot be made.
 */
export async function openPty(board: Board, options: BoardPtyOptions): Promise<BoardPty> {
  const child = spawn(options.socat ?? 'socat', [`PTY,link=${options.path},rawer`, '-'], {
    stdio: ['pipe', 'pipe', 'pipe'],
  });
  const { stdin, stdout } = child;
  let collected: number[] = [];
  const stops = [
    board.link.onByte((byte) => collected.push(byte)),
    board.afterAdvance(() => {
      if (collected.length > 0 && stdin.writable && stdin.writableLength < MOST_UNREAD) {
        stdin.write(Uint8Array.from(collected));
      }
      collected = [];
    }),
    board.link.onUnplug(() => child.kill()),
  ];
  const gone = whenGone(child).then((why) => {
    for (const stop of stops) stop();
    return why;
  });
  stdout.on('data', (bytes: Buffer) => board.link.write(bytes));
  // A pipe that breaks because the child ended is no error of its own: `gone` tells.
  stdin.on('error', () => undefined);
  await untilMade(options.path, gone);
  return {
    path: options.path,
    async close() {
      child.kill();
      await gone;
    },
  };
}

function whenGone(child: ChildProcess): Promise<string> {
  let said = '';
  child.stderr?.on('data', (text: Buffer) => {
    said = (said + text.toString()).slice(-500);
  });
  return new Promise((resolve) => {
    child.on('error', (error) => resolve(`${error.message}. Is socat installed?`));
    child.on('exit', (code) => resolve(said.trim() || `it ended with code ${code}`));
  });
}

async function untilMade(path: string, gone: Promise<string>): Promise<void> {
  let why: string | undefined;
  void gone.then((reason) => {
    why = reason;
  });
  for (let waitedMs = 0; waitedMs < OPEN_WITHIN_MS; waitedMs += LOOK_EVERY_MS) {
    if (why !== undefined) throw new Error(`No pseudo-terminal at ${path}: ${why}`);
    const made = await stat(path).catch(() => undefined);
    if (made?.isCharacterDevice()) return;
    await new Promise((resolve) => setTimeout(resolve, LOOK_EVERY_MS));
  }
  throw new Error(`No pseudo-terminal at ${path} within ${OPEN_WITHIN_MS / 1000} s; is the folder writable?`);
}

import { SerialPort } from 'serialport';
import { ForeignReader } from './foreign.ts';
import { BoardLink } from './link.ts';
import { portFault } from './port-fault.ts';
import { type FromChild, machineMs, type ToChild, toChildSchema } from './talk.ts';
import type { BoardView, RigFault } from './view.ts';

/*
 * The process that owns the serial port and everything of johnny-five, firmata-io and serialport with it: what leaks,
 * hangs or throws in there ends with this process. It decides nothing: orders go through once, or not at all.
 */

const BAUD = 57_600;
const POLL_MS = 100;
/** A view goes out at least this often, as a sign of life. */
const SIGN_MS = 500;
const RESET_PULSE_MS = 250;
const END_MS = 200;
/** A port that has not closed by then is left behind. */
const CLOSE_MS = 1000;

let port: SerialPort | null = null;
let link: BoardLink | null = null;
let foreign: ForeignReader | null = null;
let opening: RigFault | null = null;
let sending = false;
let turns = 0;
/** Fulfilled once the last port is closed, or could not be opened. */
let freed: Promise<void> = Promise.resolve();
let changed = true;
let sentMs = 0;

const EMPTY: BoardView = {
  phase: 'closed',
  fault: null,
  boardName: null,
  status: null,
  probes: [],
  answer: null,
};

function tell(): void {
  // One view under way at a time: a parent that does not read gets the latest, not a queue.
  if (sending || !process.connected || !process.send) return;
  const view = link?.view() ?? { ...EMPTY, fault: opening };
  sending = true;
  changed = false;
  sentMs = machineMs();
  process.send({ kind: 'view', view } satisfies FromChild, () => {
    sending = false;
    if (changed) tell();
  });
}

function noteChange(): void {
  changed = true;
  tell();
}

function letGo(): void {
  link?.close();
  foreign?.stop();
  const old = port;
  port = null;
  link = null;
  foreign = null;
  old?.on('error', () => undefined);
  if (old?.isOpen) old.close(() => undefined);
}

async function open(asked: Extract<ToChild, { kind: 'open' }>): Promise<void> {
  const turn = ++turns;
  opening = null;
  letGo();
  // Opened while its own old descriptor still holds the lock, a port would call itself busy.
  await Promise.race([freed, new Promise((resolve) => setTimeout(resolve, CLOSE_MS))]);
  if (turn === turns) openAnew(asked);
}

function openAnew({ path, wanted, analogue }: Extract<ToChild, { kind: 'open' }>): void {
  const next = new SerialPort({ path, baudRate: BAUD, autoOpen: false });
  port = next;
  freed = new Promise((free) => {
    next.on('close', () => free());
    next.open((error) => {
      if (error) free();
      if (port !== next) {
        // Too late: it has been let go. Left open, it would keep the port from the next.
        if (!error) next.close(() => undefined);
        return;
      }
      if (error) {
        opening = portFault(path, error.message.replace(/^Error:?\s*/, ''));
        noteChange();
        return;
      }
      link = new BoardLink({ transport: next, nowMs: machineMs, wanted, analogue, onChange: noteChange });
      link.start();
    });
  });
}

/** Reset by DTR, where the port can: a pseudo-terminal cannot, and then the next rung follows. */
function reset(): void {
  const current = port;
  if (!current?.isOpen) return;
  current.set({ dtr: false }, () => {
    setTimeout(() => {
      if (current.isOpen) current.set({ dtr: true }, () => undefined);
    }, RESET_PULSE_MS);
  });
}

function end(): void {
  turns++;
  letGo();
  setTimeout(() => process.exit(0), END_MS);
}

process.on('message', (raw) => {
  const parsed = toChildSchema.safeParse(raw);
  if (!parsed.success) return;
  const message = parsed.data;
  if (message.kind === 'open') void open(message);
  else if (message.kind === 'reset') reset();
  else if (message.kind === 'order') link?.order(message.order);
  else end();
});
// Without a parent nobody is asking for heat.
process.on('disconnect', end);
// Ctrl+C reaches the whole group of processes; the parent says when to end.
process.on('SIGINT', () => undefined);

setInterval(() => {
  link?.poll();
  const reader = link?.reader() ?? null;
  if (reader !== null && foreign === null && link?.view().fault?.code === 'rig-foreign-firmware') {
    foreign = new ForeignReader({ ...reader, nowMs: machineMs, onChange: noteChange });
    foreign.start();
  }
  if (machineMs() - sentMs >= SIGN_MS) tell();
}, POLL_MS);
tell();

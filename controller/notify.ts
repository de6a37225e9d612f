import { spawn } from 'node:child_process';

/*
 * What the service manager is told (sd_notify(3)): ready, alive, stopping, and a line of status. Node has no datagram
 * sockets of the unix kind, and a native add-on would have to be compiled on every small computer; so each message goes
 * out through systemd's own `systemd-notify`, a process of about 6 ms, a few times a minute. The contract, with its
 * reasons, stands in hardware/deploy/README.md.
 */

/** Sends assignments such as READY=1; resolves once the manager has taken them. */
export type NotifySender = (assignments: readonly string[]) => Promise<void>;

/** What a finished tick saw. */
export interface TickFacts {
  /** The bath reading was valid and fresh. */
  readonly freshReading: boolean;
  /** The tick before this one asked for heat. */
  readonly leaseAsked: boolean;
  /** The board's answer to that lease has come back: granted, or refused for a reason that people are told. */
  readonly leaseAnswered: boolean;
}

/** The service manager, as the controller sees it. Every call is safe where there is none. */
export interface ServiceNotifier {
  /** The page is served and the loop runs. */
  ready(): void;
  /** Call at the end of every tick, from nowhere else. */
  tick(facts: TickFacts, nowMs: number): void;
  /** One line for `systemctl status`; sent only when it changes. */
  status(text: string): void;
  /** Going down on purpose. Resolves once all messages are out. */
  stopping(): Promise<void>;
}

export interface NotifierOptions {
  /** Null where nobody listens. */
  readonly send: NotifySender | null;
  /** Null where no watchdog is asked for. */
  readonly watchdogMs: number | null;
  readonly log: (line: string) => void;
}

/** Alive is said this many times within the watchdog's time. */
export const FEEDS_PER_PERIOD = 4;
/** `systemctl status` shows one line; more would only be cut. */
const STATUS_MOST = 200;

/**
 * A tick is whole if it saw a fresh reading and, where heat was asked for, the board's answer. Only whole ticks feed the
 * watchdog. A process that was never whole is fed by any finished tick: it has just been started, and starting it
 * again would only silence its alarms.
 */
export function mayFeed(wasWhole: boolean, facts: TickFacts): boolean {
  return isWhole(facts) || !wasWhole;
}

const isWhole = ({ freshReading, leaseAsked, leaseAnswered }: TickFacts) =>
  freshReading && (!leaseAsked || leaseAnswered);

/** The notifier over a sender; it never throws and never waits: a message that fails is logged once a run of failures. */
export function serviceNotifier({ send, watchdogMs, log }: NotifierOptions): ServiceNotifier {
  let queue = Promise.resolve();
  let failing = false;
  let feeding = false;
  let wasWhole = false;
  let fedAtMs = Number.NEGATIVE_INFINITY;
  let lastStatus = '';

  const post = (assignments: readonly string[]): Promise<void> => {
    if (send === null) return queue;
    queue = queue
      .then(() => send(assignments))
      .then(
        () => {
          failing = false;
        },
        (error: Error) => {
          if (!failing) log(`The service manager cannot be told ${assignments.join(', ')}: ${error.message}`);
          failing = true;
        },
      );
    return queue;
  };

  return {
    ready: () => void post(['READY=1']),
    tick(facts, nowMs) {
      const feeds = mayFeed(wasWhole, facts);
      wasWhole ||= isWhole(facts);
      // One message at a time: a manager that does not answer must not gather a queue of stale signs of life.
      if (watchdogMs === null || !feeds || feeding || nowMs - fedAtMs < watchdogMs / FEEDS_PER_PERIOD) return;
      fedAtMs = nowMs;
      feeding = true;
      void post(['WATCHDOG=1']).then(() => {
        feeding = false;
      });
    },
    status(text) {
      // biome-ignore lint/suspicious/noControlCharactersInRegex: a line break would begin a new assignment
      const line = text.replace(/[\u0000-\u001f]+/g, ' ').slice(0, STATUS_MOST);
      if (line === lastStatus) return;
      lastStatus = line;
      void post([`STATUS=${line}`]);
    },
    stopping: () => post(['STOPPING=1']),
  };
}

/**
 * The watchdog's time in ms from what systemd puts into the environment (sd_watchdog_enabled(3)); null where it asks for
 * none, or asks another process.
 */
export function watchdogFrom(env: Readonly<Record<string, string | undefined>>, pid: number): number | null {
  const { WATCHDOG_USEC: usec, WATCHDOG_PID: forPid } = env;
  if (usec === undefined || !/^[1-9]\d*$/.test(usec)) return null;
  return forPid === undefined || forPid === String(pid) ? Number(usec) / 1000 : null;
}

/** Longer than systemd-notify itself waits (5 s) for the manager to take a message. */
const SEND_MS = 8000;

/**
 * The sender by `systemd-notify`; null where NOTIFY_SOCKET is not set. It waits until the manager has taken the message:
 * one from a process that is already gone cannot be told to belong to the service.
 */
export function systemdSender(
  env: Readonly<Record<string, string | undefined>>,
  command = 'systemd-notify',
): NotifySender | null {
  const { NOTIFY_SOCKET: socket, PATH: path } = env;
  if (socket === undefined || socket === '') return null;
  return (assignments) =>
    new Promise((resolve, reject) => {
      const child = spawn(command, [...assignments], {
        env: { NOTIFY_SOCKET: socket, ...(path === undefined ? {} : { PATH: path }) },
        stdio: 'ignore',
        timeout: SEND_MS,
        killSignal: 'SIGKILL',
      });
      child.once('error', (error) => reject(new Error(`${command} did not start: ${error.message}`)));
      child.once('exit', (code, signal) =>
        code === 0 ? resolve() : reject(new Error(`${command} ended with ${code ?? signal}`)),
      );
    });
}

/** A limit on everything that a stranger on the network could make grow. Times in milliseconds of real time. */
export interface ServeLimits {
  /** Largest request body, bytes. A command is a few hundred bytes. */
  readonly bodyBytes: number;
  /** Largest request head, bytes. */
  readonly headerBytes: number;
  /** A request head must have arrived by then. */
  readonly headersMs: number;
  /** A whole request must have arrived by then. */
  readonly requestMs: number;
  /** An idle kept-alive connection is closed after this. */
  readonly keepAliveMs: number;
  /** TCP connections in all. */
  readonly connections: number;
  /** A command is answered by then, or refused as not answered. */
  readonly commandMs: number;
  /** Commands awaiting the tick at once; stop-heat and acknowledge are exempt. */
  readonly commandsInFlight: number;
  /** Exports running at once. */
  readonly exportsAtOnce: number;
  /** Requests an address may make a second, and how many at once after a rest. */
  readonly requestsPerS: number;
  readonly requestsBurst: number;
  /** The same for commands; stop-heat has a bucket of its own, so that nothing else can empty it. */
  readonly commandsPerS: number;
  readonly commandsBurst: number;
  /** Addresses remembered for the rates; the longest unseen is forgotten first. */
  readonly addresses: number;
  readonly stream: StreamLimits;
}

/** Limits of the stream, for each viewer and in all. */
export interface StreamLimits {
  /** Viewers at once. The design load is 8. */
  readonly viewers: number;
  readonly viewersPerAddress: number;
  /** A viewer that has not said what it has by then is sent away. */
  readonly resumeMs: number;
  readonly beatMs: number;
  /** A viewer from which nothing came back for this long, at most twice as long, is given up. */
  readonly silenceMs: number;
  /** More bytes of text than this sent but not received: the viewer is slow. */
  readonly slowBytes: number;
  /** While catching up, the next message is sent when fewer than this are under way. */
  readonly windowBytes: number;
  /** A catching-up that lasts longer shows the latest status meanwhile. */
  readonly patienceMs: number;
  /** A backfill message stays below this, in characters, unless a single row is larger. */
  readonly messageChars: number;
  /** More samples than this do not come in one live message but as a backfill. */
  readonly liveSamples: number;
  /** Samples of the latest commits kept in memory, once for all viewers. */
  readonly recentSamples: number;
}

/** The limits in force, unless a test sets its own. */
export const LIMITS: ServeLimits = {
  bodyBytes: 16 * 1024,
  headerBytes: 8 * 1024,
  headersMs: 10_000,
  requestMs: 15_000,
  keepAliveMs: 10_000,
  connections: 256,
  commandMs: 9000,
  commandsInFlight: 32,
  exportsAtOnce: 2,
  requestsPerS: 20,
  requestsBurst: 60,
  commandsPerS: 5,
  commandsBurst: 20,
  addresses: 1024,
  stream: {
    viewers: 32,
    viewersPerAddress: 16,
    resumeMs: 5000,
    beatMs: 2000,
    silenceMs: 30_000,
    slowBytes: 128 * 1024,
    windowBytes: 64 * 1024,
    patienceMs: 2000,
    messageChars: 32 * 1024,
    liveSamples: 120,
    recentSamples: 600,
  },
};

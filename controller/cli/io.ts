/** Where a verb writes: what was asked for on `out`, everything else on `err`. */
export interface CliIo {
  out(text: string): void;
  err(text: string): void;
}

/** A verb: flags in, exit code out (0 done, 1 failed, 2 bad input). */
export type Verb = (argv: string[], io: CliIo) => Promise<number>;

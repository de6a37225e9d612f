import { printable } from './guard.ts';
import { RateLimiter } from './rate.ts';

/** One thing that somebody did or was refused. Never holds a code or a token. */
export interface AuditEntry {
  readonly did: string;
  readonly address: string;
  readonly who: string;
  readonly outcome: string;
  readonly detail?: string;
}

/** Writes who did what, one line each, time in UTC. */
export interface Audit {
  /** Something done by somebody who might; always written. */
  done(entry: AuditEntry): void;
  /** Something refused; at most 60 a minute are written, so that a flood cannot fill the disk. */
  refused(entry: AuditEntry): void;
}

/** `nowMs` is the wall clock, `monotonicMs` one that never steps. */
export function makeAudit(
  log: (line: string) => void,
  nowMs: () => number,
  monotonicMs: () => number,
): Audit {
  const rate = new RateLimiter({ perSecond: 1, burst: 60, keys: 1, monotonicMs });
  let unwritten = 0;
  const write = (entry: AuditEntry, extra: string): void => {
    const detail = entry.detail ? ` detail=${printable(entry.detail, 240)}` : '';
    log(
      `${new Date(nowMs()).toISOString()} did=${entry.did} from=${entry.address} who=${printable(entry.who)} outcome=${entry.outcome}${detail}${extra}`,
    );
  };
  return {
    done: (entry) => write(entry, ''),
    refused: (entry) => {
      if (rate.take('refused') > 0) {
        unwritten += 1;
        return;
      }
      write(entry, unwritten > 0 ? ` unwritten=${unwritten}` : '');
      unwritten = 0;
    },
  };
}

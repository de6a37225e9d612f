import { randomBytes } from 'node:crypto';
import { openPairing, type Pairing } from '../../controller/serve/pairing.ts';
import { BathkeeperError } from '../../shared/wire/errors.ts';
import { memoryStore } from './server-bed.ts';

/** The wall clock of the bench at its start. */
export const START = Date.UTC(2026, 10, 25);

/** Pairing with clocks and randomness in the test's hand. */
export interface Bench {
  pairing: Pairing;
  readonly codes: string[];
  readonly log: string[];
  readonly clock: { wallMs: number; monotonicMs: number };
  readonly store: ReturnType<typeof memoryStore>;
  /** A wrong code, whatever the right one is; gives the code of the refusal. */
  guess(address?: string): Promise<string>;
  pair(name?: string, oldToken?: string, address?: string): Promise<string>;
  /** As after a restart of the controller. */
  reopen(): Promise<void>;
}

/** Opens pairing on a store, with fixed clocks. */
export async function makeBench(
  store = memoryStore(),
  random: (count: number) => Uint8Array = randomBytes,
): Promise<Bench> {
  const codes: string[] = [];
  const log: string[] = [];
  const clock = { wallMs: START, monotonicMs: 0 };
  const open = (): Promise<Pairing> =>
    openPairing({
      store,
      wallMs: () => clock.wallMs,
      monotonicMs: () => clock.monotonicMs,
      randomBytes: random,
      onNewCode: (code) => codes.push(code),
      log: (line) => log.push(line),
    });
  const bench: Bench = {
    pairing: await open(),
    codes,
    log,
    clock,
    store,
    guess: async (address = '10.0.0.1') => {
      const right = codes.at(-1) ?? '';
      const code = right === '000000' ? '111111' : '000000';
      try {
        await bench.pairing.tryCode({ code, name: 'x', address, oldToken: undefined });
      } catch (error) {
        if (error instanceof BathkeeperError) return error.code;
        throw error;
      }
      return 'paired';
    },
    pair: async (name = 'Phone', oldToken, address = '10.0.0.2') => {
      const code = bench.pairing.code();
      return (await bench.pairing.tryCode({ code, name, address, oldToken })).token;
    },
    reopen: async () => {
      bench.pairing = await open();
    },
  };
  return bench;
}

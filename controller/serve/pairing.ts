import { BathkeeperError } from '../../shared/wire/errors.ts';
import { GuessCounter } from './guesses.ts';
import { hashToken, type Phone, Phones } from './phones.ts';

/** A code is renewed after this long at the latest. */
export const CODE_LIFETIME_MS = 600_000;
const CODES = 1_000_000;

/** Where paired phones are kept across a restart. */
export interface PairingStore {
  /** What was saved last; null where nothing was. */
  load(): Promise<string | null>;
  /** All of it or nothing: a cut of power leaves the old or the new text. */
  save(text: string): Promise<void>;
  /** Puts a text that cannot be read out of the way; says where it went. */
  setAside(): Promise<string>;
}

/** Everything impure that pairing needs. */
export interface PairingOptions {
  readonly store: PairingStore;
  wallMs(): number;
  monotonicMs(): number;
  /** Cryptographic randomness: `node:crypto` randomBytes, or a seed in the tests. */
  randomBytes(count: number): Uint8Array;
  /** Shows a new code to whoever stands at the controller. Called for the first code too. */
  onNewCode(code: string): void;
  log(line: string): void;
}

/** A try at pairing. `oldToken` is the token the phone already has, which the new one replaces. */
export interface PairingTry {
  readonly code: string;
  readonly name: string;
  readonly address: string;
  readonly oldToken: string | undefined;
}

/** Opens pairing with the phones kept by the store, and shows the first code. */
export async function openPairing(options: PairingOptions): Promise<Pairing> {
  const text = await options.store.load();
  if (text === null) return new Pairing(options, new Phones());
  try {
    return new Pairing(options, Phones.parse(text));
  } catch {
    const where = await options.store.setAside();
    options.log(
      `The list of paired phones could not be read. It was set aside as ${where}; pair each phone again.`,
    );
    return new Pairing(options, new Phones());
  }
}

/** Who may give commands in the riskier direction: phones that once gave the code shown by the controller. */
export class Pairing {
  readonly #options: PairingOptions;
  readonly #phones: Phones;
  readonly #guesses = new GuessCounter();
  readonly #leaveListeners = new Set<(tokenHash: string) => void>();
  #code = '';
  #codeAtMs = 0;
  #saving: Promise<void> = Promise.resolve();

  constructor(options: PairingOptions, phones: Phones) {
    this.#options = options;
    this.#phones = phones;
    this.#renew();
  }

  /** The code in force, six digits; a new one is made and shown when the old one has had its time. */
  code(): string {
    if (this.#options.monotonicMs() - this.#codeAtMs >= CODE_LIFETIME_MS) this.#renew();
    return this.#code;
  }

  /**
   * Pairs a phone; gives its token, which is kept nowhere else.
   * Throws BathkeeperError wrong-code or too-many-guesses. The code is judged and used up before
   * anything is awaited, so that two tries at once cannot both use it.
   */
  async tryCode(attempt: PairingTry): Promise<{ token: string; phone: Phone }> {
    const nowMs = this.#options.monotonicMs();
    const waitS = this.#guesses.waitS(attempt.address, nowMs);
    if (waitS > 0) throw new BathkeeperError('too-many-guesses', `The next try is possible in ${waitS} s.`);
    if (!sameCode(attempt.code, this.code())) this.#refuse(attempt.address, nowMs);
    this.#guesses.right(attempt.address);
    this.#renew();
    // The same phone goes on under a new token, so nobody is told that it left.
    if (attempt.oldToken !== undefined) this.#phones.remove(hashToken(attempt.oldToken));
    const token = Buffer.from(this.#options.randomBytes(32)).toString('base64url');
    const wallMs = this.#options.wallMs();
    const phone: Phone = {
      tokenHash: hashToken(token),
      name: attempt.name,
      pairedAtMs: wallMs,
      usedAtMs: wallMs,
    };
    for (const dropped of this.#phones.add(phone)) this.#left(dropped);
    await this.#save();
    return { token, phone };
  }

  /** The phone that holds this token; null where there is none or its pairing has run out. */
  phoneOf(token: string | undefined): Phone | null {
    if (token === undefined) return null;
    const found = this.#phones.find(hashToken(token), this.#options.wallMs());
    if (found?.noteUse) void this.#save();
    return found?.phone ?? null;
  }

  /** Ends the pairing of one phone. */
  async unpair(token: string): Promise<void> {
    const phone = this.#phones.remove(hashToken(token));
    if (phone !== null) this.#left(phone);
    await this.#save();
  }

  /** Ends all pairings, as when a phone was lost. */
  async unpairAll(): Promise<void> {
    for (const phone of this.#phones.clear()) this.#left(phone);
    await this.#save();
  }

  /** Calls back with the token hash of each phone whose pairing ended; gives the function that ends this. */
  onUnpaired(listener: (tokenHash: string) => void): () => void {
    this.#leaveListeners.add(listener);
    return () => this.#leaveListeners.delete(listener);
  }

  #refuse(address: string, nowMs: number): never {
    if (this.#guesses.wrong(address, nowMs)) this.#renew();
    const waitS = this.#guesses.waitS(address, nowMs);
    throw new BathkeeperError('wrong-code', waitS > 0 ? `The next try is possible in ${waitS} s.` : '');
  }

  #renew(): void {
    this.#code = makeCode(this.#options.randomBytes);
    this.#codeAtMs = this.#options.monotonicMs();
    this.#options.onNewCode(this.#code);
  }

  #left(phone: Phone): void {
    for (const listener of this.#leaveListeners) listener(phone.tokenHash);
  }

  /** One save after the other. A disk that fails costs only the memory across a restart, and says so. */
  #save(): Promise<void> {
    this.#saving = this.#saving
      .then(() => this.#options.store.save(this.#phones.text()))
      .catch((error: unknown) => {
        const why = error instanceof Error ? error.message : String(error);
        this.#options.log(
          `The list of paired phones could not be saved (${why}); it holds until the restart.`,
        );
      });
    return this.#saving;
  }
}

/** Six digits, each code equally likely: draws beyond the last whole multiple are thrown away. */
function makeCode(randomBytes: (count: number) => Uint8Array): string {
  const limit = Math.floor(2 ** 32 / CODES) * CODES;
  for (;;) {
    const draw = Buffer.from(randomBytes(4)).readUInt32BE(0);
    if (draw < limit) return String(draw % CODES).padStart(6, '0');
  }
}

/** Compares in a time that does not depend on where the codes differ. */
function sameCode(given: string, wanted: string): boolean {
  let differs = given.length ^ wanted.length;
  for (let i = 0; i < wanted.length; i += 1) {
    differs |= (given.charCodeAt(i) || 0) ^ wanted.charCodeAt(i);
  }
  return differs === 0;
}

import { createHash } from 'node:crypto';
import { z } from 'zod';

/** Phones remembered; beyond them the one longest unused is forgotten. */
export const MAX_PHONES = 32;
/** A phone not used for this long must be paired again. */
export const IDLE_MS = 30 * 86_400_000;
/** A phone must be paired again after this long in any case. */
export const LIFETIME_MS = 180 * 86_400_000;
/** Use is noted on disk at most this often, to spare the card. */
const NOTE_USE_MS = 86_400_000;

const phoneSchema = z.strictObject({
  /** SHA-256 of the token, hexadecimal. The token itself is only on the phone. */
  tokenHash: z.string().regex(/^[0-9a-f]{64}$/),
  name: z.string().min(1).max(40),
  pairedAtMs: z.number(),
  usedAtMs: z.number(),
});
/** A paired phone as it is kept. */
export type Phone = z.infer<typeof phoneSchema>;

const fileSchema = z.strictObject({ version: z.literal(1), phones: z.array(phoneSchema).max(MAX_PHONES) });

/** SHA-256 of a token, hexadecimal. A token has 256 random bits, so a plain hash is enough. */
export function hashToken(token: string): string {
  return createHash('sha256').update(token).digest('hex');
}

/** The paired phones in memory, keyed by the hash of their token. */
export class Phones {
  #byHash = new Map<string, Phone>();

  /** Reads what was kept; throws where the text is not what `text()` writes. */
  static parse(text: string): Phones {
    const phones = new Phones();
    for (const phone of fileSchema.parse(JSON.parse(text)).phones) phones.#byHash.set(phone.tokenHash, phone);
    return phones;
  }

  /** What goes to disk. */
  text(): string {
    return `${JSON.stringify({ version: 1, phones: [...this.#byHash.values()] }, null, 1)}\n`;
  }

  /** Adds a phone; gives those forgotten to make room. */
  add(phone: Phone): Phone[] {
    this.#byHash.set(phone.tokenHash, phone);
    const byUse = [...this.#byHash.values()].sort((a, b) => a.usedAtMs - b.usedAtMs);
    const dropped = byUse.filter((one) => one !== phone).slice(0, Math.max(0, byUse.length - MAX_PHONES));
    for (const one of dropped) this.#byHash.delete(one.tokenHash);
    return dropped;
  }

  /** Forgets one phone; gives it, or null where it was not known. */
  remove(tokenHash: string): Phone | null {
    const phone = this.#byHash.get(tokenHash) ?? null;
    this.#byHash.delete(tokenHash);
    return phone;
  }

  /** Forgets all phones; gives them. */
  clear(): Phone[] {
    const all = [...this.#byHash.values()];
    this.#byHash.clear();
    return all;
  }

  /**
   * The phone of a token hash while its pairing is valid, and whether its use should be noted on disk.
   * An expired phone stays in the list: a clock that woke up in the wrong year must not unpair for good.
   */
  find(tokenHash: string, wallMs: number): { phone: Phone; noteUse: boolean } | null {
    const phone = this.#byHash.get(tokenHash);
    if (phone === undefined) return null;
    if (wallMs - phone.usedAtMs > IDLE_MS || wallMs - phone.pairedAtMs > LIFETIME_MS) return null;
    const noteUse = wallMs - phone.usedAtMs > NOTE_USE_MS;
    if (noteUse) phone.usedAtMs = wallMs;
    return { phone, noteUse };
  }
}

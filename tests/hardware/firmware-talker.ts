/** What the fuzz says to the board: noise, valid messages, spoilt ones, and what a host that wants heat would say. */
import { type Random, uniform } from '../../shared/units/random.ts';
import type { Status } from './firmware-hear.ts';
import { rom } from './firmware-rig.ts';
import { BLOCK, CAUSE, make } from './firmware-wire.ts';

/** A whole number from 0 up to, not including, n. */
export const below = (random: Random, n: number): number => Math.floor(uniform(random) * n);
/** One of some things. */
export const pick = <T>(random: Random, from: readonly T[]): T => from[below(random, from.length)]!;

/** One way to spoil a message. */
const SPOIL: readonly ((bytes: number[], random: Random) => number[])[] = [
  (bytes, random) => bytes.map((byte) => (below(random, 6) === 0 ? byte ^ (1 << below(random, 8)) : byte)),
  (bytes, random) => bytes.with(below(random, bytes.length), below(random, 256)),
  (bytes, random) => bytes.toSpliced(below(random, bytes.length), 1),
  (bytes, random) => bytes.toSpliced(below(random, bytes.length), 0, below(random, 256)),
  (bytes, random) => bytes.slice(0, below(random, bytes.length)),
  (bytes, random) => [...bytes.slice(0, below(random, bytes.length)), ...bytes],
  (bytes) => [...bytes, ...bytes],
  // The fill bits at the end, which are no part of any byte.
  (bytes, random) =>
    bytes.map((byte, i) => (i === bytes.length - 2 ? byte ^ (0x20 << below(random, 2)) : byte)),
  (bytes, random) => [
    ...bytes.slice(0, -1),
    ...Array.from({ length: below(random, 120) }, () => below(random, 128)),
    0xf7,
  ],
];

/** A host that knows what a host may know, and says anything. */
export class Talker {
  readonly #random: Random;
  readonly #statuses: () => readonly Status[];
  session: number;

  constructor(random: Random, statuses: () => readonly Status[], session: number) {
    this.#random = random;
    this.#statuses = statuses;
    this.session = session;
  }

  /** What a host would say that wants heat: limits, a clear, or a lease. */
  sensible(): number[] {
    const { nonce, latchedCause, blocks } = this.#statuses().at(-1)!;
    if (blocks & BLOCK.noSession) return [...make.limits({ rom: rom(1) }), ...make.limitsQuery()];
    if (latchedCause !== CAUSE.none) return make.clear({ nonce, session: this.session, cause: latchedCause });
    if (below(this.#random, 20) === 0) return make.limits({ rom: rom(1) });
    return below(this.#random, 3) === 0
      ? this.lease(true)
      : make.lease({ nonce, session: this.session, switches: below(this.#random, 8) === 0 ? 2 : 3 });
  }

  lease(fresh: boolean): number[] {
    const random = this.#random;
    const statuses = this.#statuses();
    const back = fresh ? 0 : below(random, Math.min(6, statuses.length));
    return make.lease({
      nonce: statuses[statuses.length - 1 - back]!.nonce,
      session:
        below(random, 10) === 0 ? pick(random, [0, this.session ^ 1, below(random, 65_536)]) : this.session,
      durationMs: pick(random, [1600, 1600, 1600, 2000, 1900, 700, 300, 150, 1, 2001, 0, 65_535]),
      switches: pick(random, [3, 3, 3, 3, 2, 1, 0, 7]),
    });
  }

  /** A good lease but for its age: on one of the last few nonces, none of which has been named. */
  aged(): number[] {
    const random = this.#random;
    const statuses = this.#statuses();
    const { nonce } = statuses[statuses.length - 1 - below(random, Math.min(5, statuses.length))]!;
    return make.lease({ nonce, session: this.session, durationMs: pick(random, [1600, 1900, 1950, 2000]) });
  }

  valid(): number[] {
    const random = this.#random;
    const { nonce, latchedCause } = this.#statuses().at(-1)!;
    const rarely = (n: number, what: () => number[]): number[] => (below(random, n) === 0 ? what() : [0xf9]);
    const kinds: (() => number[])[] = [
      () => this.lease(true),
      () => this.lease(true),
      () => this.lease(false),
      () => rarely(6, () => make.limits({ rom: rom(1), maxRaw: pick(random, [1521, 479, 1520, 1360]) })),
      () => make.limitsQuery(below(random, 256)),
      () => make.limitsQuery(below(random, 256)),
      () =>
        make.clear({
          nonce,
          session: this.session,
          cause: pick(random, [latchedCause, latchedCause, CAUSE.host]),
        }),
      () => make.clear({ nonce, session: this.session, cause: latchedCause }),
      () => make.sounder(below(random, 5), below(random, 700)),
      () => rarely(6, () => make.trip(below(random, 65_536))),
      () => rarely(3, () => make.release()),
      () => [
        pick(random, [0x90, 0xd0, 0xc0, 0xe0, 0xf4, 0xf5]) | below(random, 4),
        below(random, 128),
        below(random, 128),
      ],
      () => rarely(8, () => [0xff]),
      () => [
        0xf0,
        pick(random, [0x69, 0x6b, 0x6d, 0x71, 0x73, 0x79, 0x7a]),
        below(random, 128),
        below(random, 128),
        0xf7,
      ],
    ];
    return pick(random, kinds)();
  }

  spoilt(): number[] {
    return pick(this.#random, SPOIL)(
      below(this.#random, 3) === 0 ? this.lease(true) : this.valid(),
      this.#random,
    );
  }

  noise(top: number): number[] {
    return Array.from({ length: 1 + below(this.#random, 60) }, () => below(this.#random, top));
  }

  framed(): number[] {
    const content = Array.from({ length: below(this.#random, 40) }, () => below(this.#random, 128));
    return [0xf0, 1 + below(this.#random, 15), ...content, 0xf7];
  }
}

/** One kind of talk: the next bytes to send. */
export type Flavour = (talker: Talker, random: Random) => number[];
export const FLAVOURS: readonly Flavour[] = [
  (talker) => talker.noise(256),
  (talker) => talker.noise(255),
  (talker) => talker.noise(128),
  (talker) => talker.framed(),
  (talker) => talker.valid(),
  (talker) => talker.spoilt(),
  (talker, random) => (below(random, 5) === 0 ? talker.spoilt() : talker.valid()),
  (talker, random) => pick(random, FLAVOURS.slice(0, 6))(talker, random),
];

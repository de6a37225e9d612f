import { type Random, uniform } from '../../../shared/units/random.ts';
import type { Ds18b20, ProbeState } from './ds18b20.ts';

/** What the wire is shorted to, if anything. */
export type Short = 'ground' | 'supply';

/** State of the wire in a snapshot; sensors by name. */
export interface BusState {
  masterLow: boolean;
  short: Short | null;
  high: boolean;
  fellUs: number;
  /** Chance of each bit a sensor sends to arrive flipped. */
  flipRate: number;
  /** Bits still to be flipped for certain, counted from the next. */
  flipNext: number;
  probes: Record<string, ProbeState>;
}

/** What the wire needs from its surroundings. */
export interface BusSurroundings {
  nowUs(): number;
  /** Asks for `wake` at a time; replaces an earlier wish. Infinity: none. */
  wakeAt(atUs: number): void;
  /** The line changed. */
  onLevel(high: boolean): void;
  noise: Random;
}

/**
 * The wired-AND line with its pull-up: low while the master, a sensor or a short pulls. Turns levels into edges for
 * the sensors and asks to be woken when one of them lets go.
 */
export class OneWireBus {
  #state: Omit<BusState, 'probes'> = {
    masterLow: false,
    short: null,
    high: true,
    fellUs: 0,
    flipRate: 0,
    flipNext: 0,
  };
  readonly #probes = new Map<string, Ds18b20>();
  readonly #around: BusSurroundings;

  constructor(around: BusSurroundings) {
    this.#around = around;
  }

  /** Level of the line. */
  get high(): boolean {
    return this.#state.high;
  }

  /** Sensors on the wire, by ROM code in hex. */
  get probes(): ReadonlyMap<string, Ds18b20> {
    return this.#probes;
  }

  /** Puts a sensor on the wire; it powers up. */
  attach(probe: Ds18b20): void {
    probe.powerOn();
    this.#probes.set(probe.name, probe);
    this.#update();
  }

  /** Takes a sensor off the wire. */
  detach(name: string): void {
    this.#probes.delete(name);
    this.#update();
  }

  /** Shorts the wire, or mends it with null. */
  short(to: Short | null): void {
    this.#state.short = to;
    this.#update();
  }

  /** Disturbs bits that sensors send: each with a chance, and the next `next` of them for certain. */
  disturb(flipRate: number, next = 0): void {
    this.#state.flipRate = flipRate;
    this.#state.flipNext = next;
  }

  /** The supply of the sensors went and came back. */
  powerOn(): void {
    for (const probe of this.#probes.values()) probe.powerOn();
    this.#update();
  }

  /** The master pulls the line low or lets it go. */
  drive(low: boolean): void {
    this.#state.masterLow = low;
    this.#update();
  }

  /** The time asked for by `wakeAt` has come. */
  wake(): void {
    this.#update();
  }

  /** All state as plain data. */
  snapshot(): BusState {
    const probes = Object.fromEntries([...this.#probes].map(([name, probe]) => [name, probe.state]));
    return structuredClone({ ...this.#state, probes });
  }

  /** Puts back a snapshot's state. Throws when it knows a sensor that is not on this wire. */
  restore(state: BusState, known: ReadonlyMap<string, Ds18b20>): void {
    const { probes, ...wire } = structuredClone(state);
    this.#state = wire;
    this.#probes.clear();
    for (const [name, probeState] of Object.entries(probes)) {
      const probe = known.get(name);
      if (probe === undefined)
        throw new Error(`The snapshot has a probe ${name} that this board was not given.`);
      probe.state = probeState;
      this.#probes.set(name, probe);
    }
  }

  readonly #flip = (): boolean => {
    const state = this.#state;
    if (state.flipNext > 0) {
      state.flipNext -= 1;
      return true;
    }
    return state.flipRate > 0 && uniform(this.#around.noise) < state.flipRate;
  };

  #level(nowUs: number): boolean {
    if (this.#state.short !== null) return this.#state.short === 'supply';
    if (this.#state.masterLow) return false;
    for (const probe of this.#probes.values()) if (probe.pulls(nowUs)) return false;
    return true;
  }

  #update(): void {
    const state = this.#state;
    const nowUs = this.#around.nowUs();
    const high = this.#level(nowUs);
    if (high !== state.high) {
      state.high = high;
      if (high) for (const probe of this.#probes.values()) probe.onRise(nowUs, nowUs - state.fellUs);
      else {
        state.fellUs = nowUs;
        for (const probe of this.#probes.values()) probe.onFall(nowUs, this.#flip);
      }
      this.#around.onLevel(high);
    }
    let nextUs = Number.POSITIVE_INFINITY;
    for (const probe of this.#probes.values()) nextUs = Math.min(nextUs, probe.nextChangeUs(nowUs));
    this.#around.wakeAt(nextUs);
  }
}

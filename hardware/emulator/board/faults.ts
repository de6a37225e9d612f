import type { Chip, FreezeKind } from '../avr/chip.ts';
import type { OneWireBus, Short } from '../onewire/bus.ts';
import type { Ds18b20 } from '../onewire/ds18b20.ts';
import type { UsbLink } from './link.ts';
import type { Switches, SwitchName } from './switches.ts';

/** The parts of a board that can fail. */
export interface Breakable {
  chip: Chip;
  bus: OneWireBus;
  link: UsbLink;
  switches: Switches;
  probes: ReadonlyMap<string, Ds18b20>;
  /** The board has a supply beside USB. */
  ownSupply: boolean;
}

/** Everything that can go wrong, and come right again, each by its verb. */
export class Faults {
  readonly #parts: Breakable;

  constructor(parts: Breakable) {
    this.#parts = parts;
  }

  /** Takes a probe off the bus. @param rom its ROM code in hex. Throws when the board has no such probe. */
  unplugProbe(rom: string): void {
    this.#parts.bus.detach(this.#probe(rom).name);
  }

  /** Puts a probe back; it powers up at 85 degC. */
  plugProbe(rom: string): void {
    this.#parts.bus.attach(this.#probe(rom));
  }

  /** Shorts the data wire (and so every probe on it) to ground or to the supply. */
  shortProbe(to: Short = 'ground'): void {
    this.#parts.bus.short(to);
  }

  /** Mends a shorted data wire. */
  mendProbe(): void {
    this.#parts.bus.short(null);
  }

  /** Flips bits that probes send: each with a chance, and the next `next` for certain. `flipBits(0)` ends it. */
  flipBits(rate: number, next = 0): void {
    this.#parts.bus.disturb(rate, next);
  }

  /** Stops the processor; its watchdog goes on counting. */
  freezeProcessor(kind: FreezeKind = 'core'): void {
    this.#parts.chip.freeze(kind);
  }

  /** Lets a frozen processor go on. */
  thawProcessor(): void {
    this.#parts.chip.thaw();
  }

  /** Pulls the USB plug. A board fed by USB alone loses its power with it. */
  pullUsb(): void {
    this.#parts.link.pull();
    if (!this.#parts.ownSupply) this.cutPower();
  }

  /** Plugs USB in again. */
  plugUsb(): void {
    this.#parts.link.plug();
    this.restorePower();
  }

  /** Nothing passes over USB any more, nothing is lost. */
  stallUsb(): void {
    this.#parts.link.stall();
  }

  /** Lets go everything a stalled USB holds. */
  releaseUsb(): void {
    this.#parts.link.release();
  }

  /**
   * The supply dips below the brown-out level for some time.
   * @param probesToo the dip was deep enough to reset the probes as well.
   */
  brownOut(lastsMs = 10, probesToo = false): void {
    this.#parts.chip.reset('brownOut', lastsMs);
    if (probesToo) this.#parts.bus.powerOn();
  }

  /** Somebody presses the reset button, or the serial adapter pulses it. */
  pressReset(lastsMs = 1): void {
    this.#parts.chip.reset('external', lastsMs);
  }

  /** The board loses its supply. */
  cutPower(): void {
    this.#parts.chip.powerOff();
  }

  /** The supply comes back; chip and probes start anew. No effect when it was there. */
  restorePower(): void {
    if (this.#parts.chip.state.powered) return;
    this.#parts.bus.powerOn();
    this.#parts.chip.powerOn();
  }

  /** Welds a switch's contacts: closed for good, whatever its pin says. */
  weldSwitch(name: SwitchName): void {
    this.#parts.switches.weld(name, true, this.#parts.chip.cycles);
  }

  /** Frees a welded switch. */
  freeSwitch(name: SwitchName): void {
    this.#parts.switches.weld(name, false, this.#parts.chip.cycles);
  }

  /** Ties a switch's pin to the supply: the switch closes, and the chip can read it. */
  tieSwitchPin(name: SwitchName, tied = true): void {
    this.#parts.switches.tie(name, tied, this.#parts.chip.cycles);
  }

  #probe(rom: string): Ds18b20 {
    const probe = this.#parts.probes.get(rom.toUpperCase());
    if (probe === undefined) {
      const known = [...this.#parts.probes.keys()].join(', ') || 'none';
      throw new Error(`The board has no probe with ROM code ${rom}; it was given ${known}.`);
    }
    return probe;
  }
}

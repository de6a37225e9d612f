import { OneWireBus } from '../../../hardware/emulator/onewire/bus.ts';
import { newRandom } from '../../../shared/units/random.ts';

/**
 * A 1-Wire master without a processor: standard-speed slots of the DS18B20 datasheet ("1-Wire timing": reset 480 us,
 * write-1 low 1 to 15 us, write-0 low 60 to 120 us, read sampled within 15 us of the falling edge).
 */
export class OneWireMaster {
  nowUs = 0;
  readonly bus: OneWireBus;
  #wakeUs = Number.POSITIVE_INFINITY;

  constructor() {
    this.bus = new OneWireBus({
      nowUs: () => this.nowUs,
      wakeAt: (atUs) => {
        this.#wakeUs = atUs;
      },
      onLevel: () => undefined,
      noise: newRandom(7),
    });
  }

  wait(us: number): void {
    const untilUs = this.nowUs + us;
    while (this.#wakeUs <= untilUs) {
      this.nowUs = this.#wakeUs;
      this.#wakeUs = Number.POSITIVE_INFINITY;
      this.bus.wake();
    }
    this.nowUs = untilUs;
  }

  pull(us: number): void {
    this.bus.drive(true);
    this.wait(us);
    this.bus.drive(false);
  }

  /** Reset pulse; true when somebody answers with a presence pulse. */
  reset(): boolean {
    this.pull(480);
    this.wait(70);
    const present = !this.bus.high;
    this.wait(410);
    return present;
  }

  writeBit(bit: number): void {
    this.pull(bit ? 6 : 60);
    this.wait(bit ? 64 : 10);
  }

  readBit(): number {
    this.pull(6);
    this.wait(8);
    const bit = this.bus.high ? 1 : 0;
    this.wait(56);
    return bit;
  }

  write(...bytes: number[]): void {
    for (const byte of bytes) for (let bit = 0; bit < 8; bit += 1) this.writeBit((byte >> bit) & 1);
  }

  read(count: number): number[] {
    return Array.from({ length: count }, () => {
      let byte = 0;
      for (let bit = 0; bit < 8; bit += 1) byte |= this.readBit() << bit;
      return byte;
    });
  }

  /** The search algorithm of Maxim application note 187; `command` 0xF0 all, 0xEC alarms. */
  search(command = 0xf0): number[][] {
    const found: number[][] = [];
    let lastZero = -1;
    let rom = new Array<number>(64).fill(0);
    do {
      if (!this.reset()) return found;
      this.write(command);
      let zeroTaken = -1;
      const bits = [...rom];
      for (let at = 0; at < 64; at += 1) {
        const bit = this.readBit();
        const complement = this.readBit();
        if (bit && complement) return found;
        let go = bit;
        if (bit === complement) {
          go = at === lastZero ? 1 : at > lastZero ? 0 : (rom[at] ?? 0);
          if (go === 0) zeroTaken = at;
        }
        bits[at] = go;
        this.writeBit(go);
      }
      rom = bits;
      lastZero = zeroTaken;
      found.push(
        Array.from({ length: 8 }, (_, i) =>
          bits.slice(8 * i, 8 * i + 8).reduce((b, v, k) => b | (v << k), 0),
        ),
      );
    } while (lastZero >= 0);
    return found;
  }
}

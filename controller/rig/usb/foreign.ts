import type { FirmataBoard } from 'firmata-io';
import type { AnalogueProbe } from '../../../shared/wire/analogue.ts';
import { oneWireCrc } from '../../../shared/wire/rom.ts';
import { type AnaloguePort, AnalogueReader } from './analogue-reader.ts';
import type { Probes } from './probes.ts';

export interface ForeignOptions {
  readonly io: FirmataBoard;
  readonly probes: Probes;
  readonly nowMs: () => number;
  readonly onChange: () => void;
  /** Probes on analogue pins. */
  readonly analogue: readonly AnalogueProbe[];
  /** Where their values come from. */
  readonly port: AnaloguePort;
  /** Pin of the 1-Wire bus. */
  readonly pin?: number;
}

const PIN = 2;
const CONVERT = 0x44;
const READ_SCRATCHPAD = 0xbe;
const BYTES = 9;
/** A conversion at 12 bits takes 750 ms (data sheet). */
const CONVERT_MS = 800;
const AGAIN_MS = 1200;
/** The bus is searched anew after so many rounds, for probes that come and go. */
const SEARCH_EVERY = 10;

/**
 * Reads the probes of a board that runs another Firmata. DS18B20: reset, convert, wait, reset, read nine bytes, each checked
 * like ours. Analogue pins beside them. For looking at probes only; nothing here can ask for heat.
 */
export class ForeignReader {
  private readonly options: ForeignOptions;
  private readonly pin: number;
  private readonly analogue: AnalogueReader;
  private roms: number[][] = [];
  private rounds = 0;
  private timer: NodeJS.Timeout | null = null;
  private stopped = false;

  constructor(options: ForeignOptions) {
    this.options = options;
    this.pin = options.pin ?? PIN;
    this.analogue = new AnalogueReader(options, options.analogue);
  }

  start(): void {
    this.analogue.start();
    this.options.io.sendOneWireConfig(this.pin, true);
    this.next(0);
  }

  stop(): void {
    this.stopped = true;
    this.analogue.stop();
    if (this.timer) clearTimeout(this.timer);
  }

  private next(ms: number): void {
    if (this.stopped) return;
    this.timer = setTimeout(() => (this.rounds++ % SEARCH_EVERY === 0 ? this.search() : this.round()), ms);
  }

  private search(): void {
    const answered = once();
    this.options.io.sendOneWireSearch(this.pin, (error, devices) => {
      if (!answered()) return;
      if (!error) this.roms = devices.filter((rom) => rom.length === 8 && oneWireCrc(rom) === 0);
      this.next(error ? AGAIN_MS : 0);
    });
  }

  private round(): void {
    const { io } = this.options;
    for (const rom of this.roms) {
      io.sendOneWireReset(this.pin);
      io.sendOneWireWrite(this.pin, rom, CONVERT);
    }
    this.timer = setTimeout(() => this.readFrom(0), CONVERT_MS);
  }

  private readFrom(index: number): void {
    const rom = this.roms[index];
    if (this.stopped) return;
    if (rom === undefined) {
      this.next(AGAIN_MS - CONVERT_MS);
      return;
    }
    const { io, probes, nowMs, onChange } = this.options;
    io.sendOneWireReset(this.pin);
    const answered = once();
    io.sendOneWireWriteAndRead(this.pin, rom, READ_SCRATCHPAD, BYTES, (error, data) => {
      if (!answered()) return;
      if (!error) {
        probes.hearScratchpad(rom, data, nowMs());
        onChange();
      }
      this.readFrom(index + 1);
    });
  }
}

/**
 * True when first asked, then false. firmata-io goes on listening after its time-out, so that the answer to a later
 * request calls back the earlier one too; each would begin another round beside the one under way.
 */
function once(): () => boolean {
  let first = true;
  return () => {
    const was = first;
    first = false;
    return was;
  };
}

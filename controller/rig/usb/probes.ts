import five from 'johnny-five';
import type { BoardProbe } from '../../../shared/wire/board.ts';
import { PROBE_FLAG } from '../../../shared/wire/board-codes.ts';
import { DS18B20_FAMILY, oneWireCrc, romText } from '../../../shared/wire/rom.ts';
import { type Converted, noReading } from '../convert/converted.ts';
import { readScratchpad } from '../convert/ds18b20.ts';
import type { ProbeView } from './view.ts';

type FiveBoard = InstanceType<typeof five.Board>;

/** A reading older than this says nothing of the probe's last value when 85.0 turns up. */
const CONTEXT_MS = 60_000;
/** A probe not heard of for so long is forgotten: the board itself forgets after two sweeps of its bus. */
const FORGET_MS = 15_000;
const MOST_PROBES = 16;

interface Known {
  readonly rom: string;
  readonly thermometer: InstanceType<typeof five.Thermometer>;
  give: (celsius: number) => void;
  view: ProbeView;
  lastGoodMs: number;
}

/**
 * The probes of one board, each a johnny-five Thermometer fed by us: with the bytes that arrived, once checked. Its own
 * DS18B20 controller checks neither checksum nor sign, and goes on giving the last value for ever.
 */
export class Probes {
  private readonly board: FiveBoard;
  private readonly known = new Map<string, Known>();

  constructor(board: FiveBoard) {
    this.board = board;
  }

  /** Takes in a probe message of our firmware. */
  hear(message: BoardProbe, arrivedMs: number): void {
    // Index 255: the bus is empty. What was known goes silent by its age.
    if (message.index === 255 || oneWireCrc(message.rom) !== 0) return;
    if ((message.flags & PROBE_FLAG.silent) !== 0) {
      this.take(
        message.rom,
        noReading('absent', 'the probe does not answer: check its plug and wires'),
        arrivedMs,
      );
      return;
    }
    this.hearScratchpad(message.rom, message.scratchpad, arrivedMs);
  }

  /** Takes in the nine bytes of a probe's memory, however they were read. A ROM that fails its check byte is no probe. */
  hearScratchpad(rom: readonly number[], scratchpad: readonly number[], arrivedMs: number): void {
    if (rom.length !== 8 || oneWireCrc(rom) !== 0 || rom.every((byte) => byte === 0)) return;
    const before = this.known.get(romText(rom));
    const recent = before !== undefined && arrivedMs - before.lastGoodMs <= CONTEXT_MS;
    const lastGoodC = recent ? (before.thermometer.celsius ?? null) : null;
    const family = rom[0] ?? 0;
    const reading =
      family === DS18B20_FAMILY
        ? readScratchpad(scratchpad, lastGoodC)
        : noReading('absent', `a device of family ${family.toString(16).padStart(2, '0')}, not a DS18B20`);
    this.take(rom, reading, arrivedMs);
  }

  /** Everything heard of lately, in the order of the ROM codes. */
  views(nowMs: number): ProbeView[] {
    for (const [rom, { view }] of this.known) {
      if (nowMs - view.arrivedMs > FORGET_MS) this.known.delete(rom);
    }
    return [...this.known.values()].map(({ view }) => view).sort((a, b) => (a.rom < b.rom ? -1 : 1));
  }

  private take(rom: readonly number[], reading: Converted, arrivedMs: number): void {
    const name = romText(rom);
    if (!this.known.has(name) && this.known.size >= MOST_PROBES) return;
    const known = this.known.get(name) ?? this.add(name);
    if (reading.celsius !== null) {
      known.give(reading.celsius);
      known.lastGoodMs = arrivedMs;
    }
    known.view = {
      rom: name,
      celsius: reading.celsius === null ? null : known.thermometer.celsius,
      quality: reading.quality,
      why: reading.why,
      foreign: rom[0] !== DS18B20_FAMILY,
      sequence: known.view.sequence + 1,
      arrivedMs,
    };
  }

  private add(rom: string): Known {
    let give: (celsius: number) => void = () => undefined;
    const thermometer = new five.Thermometer({
      board: this.board,
      // Its own timer would repeat the last value; freshness is when bytes arrived.
      enabled: false,
      controller: {
        initialize: {
          value: (_options, feed) => {
            give = feed;
          },
        },
        toCelsius: { value: (celsius) => celsius },
      },
    });
    const view: ProbeView = {
      rom,
      celsius: null,
      quality: 'absent',
      why: null,
      foreign: false,
      sequence: 0,
      arrivedMs: 0,
    };
    const known = { rom, thermometer, give, view, lastGoodMs: Number.NEGATIVE_INFINITY };
    this.known.set(rom, known);
    return known;
  }
}

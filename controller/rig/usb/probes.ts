import five from 'johnny-five';
import type { BoardProbe } from '../../../shared/wire/board.ts';
import { PROBE_FLAG } from '../../../shared/wire/board-codes.ts';
import { DS18B20_FAMILY, oneWireCrc, romText } from '../../../shared/wire/rom.ts';
import { type Converted, noReading } from '../convert/converted.ts';
import { readScratchpad } from '../convert/ds18b20.ts';
import type { AnalogueView, ProbeView } from './view.ts';

type FiveBoard = InstanceType<typeof five.Board>;

/** A reading older than this says nothing of the probe's last value when 85.0 turns up. */
const CONTEXT_MS = 60_000;
/** A probe not heard of for so long is forgotten: the board itself forgets after two sweeps of its bus. */
const FORGET_MS = 15_000;
/** Of each kind: strangers on the bus must not keep out what the configuration names. */
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
      this.takeRom(
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
    this.takeRom(rom, reading, arrivedMs);
  }

  /** Takes in what became of an analogue probe's codes. It is never forgotten: the configuration names it. */
  takeAnalogue(pin: string, reading: Converted, analogue: AnalogueView, arrivedMs: number): void {
    this.take(pin, reading, { foreign: false, analogue }, arrivedMs);
  }

  /** The last reading of a probe, degrees C, uncorrected; null where it has none that is young enough. */
  celsiusOf(name: string, nowMs: number, mostMs: number): number | null {
    const view = this.known.get(name)?.view;
    return view && nowMs - view.arrivedMs <= mostMs ? view.celsius : null;
  }

  /** Everything heard of lately, in the order of the ROM codes, then of the pins. */
  views(nowMs: number): ProbeView[] {
    for (const [rom, { view }] of this.known) {
      if (view.analogue === undefined && nowMs - view.arrivedMs > FORGET_MS) this.known.delete(rom);
    }
    return [...this.known.values()].map(({ view }) => view).sort((a, b) => (a.rom < b.rom ? -1 : 1));
  }

  private takeRom(rom: readonly number[], reading: Converted, arrivedMs: number): void {
    const name = romText(rom);
    const onBus = [...this.known.values()].filter(({ view }) => view.analogue === undefined).length;
    if (!this.known.has(name) && onBus >= MOST_PROBES) return;
    this.take(name, reading, { foreign: rom[0] !== DS18B20_FAMILY }, arrivedMs);
  }

  private take(
    name: string,
    reading: Converted,
    kind: Pick<ProbeView, 'foreign' | 'analogue'>,
    arrivedMs: number,
  ): void {
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
      ...kind,
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

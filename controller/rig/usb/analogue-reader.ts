import type { FirmataBoard } from 'firmata-io';
import { type AnalogueProbe, channelOf } from '../../../shared/wire/analogue.ts';
import { averageCodes, LEAST_CODES } from '../analogue/average.ts';
import { codesOf } from '../analogue/circuit.ts';
import { type AnalogueReading, readAnalogue } from '../analogue/read.ts';
import { NEW_WATCH, type ShortWatch, watchShort } from '../analogue/short-watch.ts';
import { noReading } from '../convert/converted.ts';
import type { Probes } from './probes.ts';
import type { AnalogueSample } from './screen.ts';
import type { RigFault } from './view.ts';

/** The port as far as analogue values need it. */
export interface AnaloguePort {
  write(bytes: Uint8Array): boolean;
  hearChannels(channels: readonly number[], onSample: (sample: AnalogueSample) => void): void;
}

export interface AnalogueParts {
  readonly io: FirmataBoard;
  readonly probes: Probes;
  readonly port: AnaloguePort;
  readonly nowMs: () => number;
  readonly onChange: () => void;
}

/** A board is asked for a value this often; one that gives fewer is read more slowly. */
const SAMPLING_MS = 50;
/** One reading a second, of all codes that came in it. */
const WINDOW_MS = 950;
/** Codes kept of one window: a board that floods is not followed. */
const MOST_CODES = 400;
/** No value for so long, and there is no reading; then the board is asked again, in case it was reset. */
const SILENT_MS = 3000;
const LOOK_MS = 500;
/** A cold junction must be as young as the tip. */
const JUNCTION_MS = 5000;
/** What the short form of the message carries; of a finer converter only the longer form is whole. */
const SHORT_BITS = 14;
const SET_PIN_MODE = 0xf4;
const MODE_ANALOG = 2;
const REPORT_ANALOG = 0xc0;

interface Channel {
  readonly probe: AnalogueProbe;
  codes: number[];
  sinceMs: number;
  lastMs: number;
  askedMs: number;
  silent: boolean;
  watch: ShortWatch;
}

/**
 * Reads analogue probes through plain Firmata: asks for the reports, gathers the codes of about a second, and makes a
 * reading of their mean, dated by the last message. A board that falls silent leaves no reading behind.
 */
export class AnalogueReader {
  private readonly parts: AnalogueParts;
  private readonly channels: ReadonlyMap<number, Channel>;
  private timer: NodeJS.Timeout | null = null;

  constructor(parts: AnalogueParts, probes: readonly AnalogueProbe[]) {
    this.parts = parts;
    const begun = { sinceMs: 0, lastMs: 0, askedMs: 0, silent: false, watch: NEW_WATCH };
    this.channels = new Map(
      probes.map((probe) => [channelOf(probe.name), { probe, codes: [], ...begun }] as const),
    );
  }

  start(): void {
    const { port, io, nowMs } = this.parts;
    const heard = [...this.channels].filter(([number, channel]) => {
      const why = pinFault(io, number, channel.probe);
      if (why !== null) this.tell(channel, { ...noReading('absent', why), stepK: null }, null, nowMs());
      return why === null;
    });
    if (heard.length === 0) return;
    port.hearChannels(
      heard.map(([number]) => number),
      (sample) => this.hear(sample),
    );
    io.setSamplingInterval(SAMPLING_MS);
    for (const [number, channel] of heard) {
      channel.lastMs = nowMs();
      this.ask(number, channel);
    }
    this.timer = setInterval(() => this.look(heard), LOOK_MS);
  }

  stop(): void {
    if (this.timer) clearInterval(this.timer);
    this.parts.port.hearChannels([], () => undefined);
  }

  private ask(number: number, channel: Channel): void {
    const { io, port, nowMs } = this.parts;
    channel.askedMs = nowMs();
    // firmata-io sends no mode for an analogue pin; a board that has it as something else would stay silent.
    port.write(Uint8Array.from([SET_PIN_MODE, pinOf(io, number), MODE_ANALOG]));
    // By its own words too: firmata-io takes the n-th analogue pin for channel n, which not every board has in order.
    port.write(Uint8Array.from([REPORT_ANALOG | number, 1]));
  }

  private hear({ channel: number, code, mostBits }: AnalogueSample): void {
    const channel = this.channels.get(number);
    // A code cut to fewer bits would be steady and look like any other temperature.
    if (!channel || mostBits < channel.probe.adcBits) return;
    const now = this.parts.nowMs();
    if (channel.codes.length === 0 || now - channel.lastMs > SILENT_MS) {
      channel.codes = [];
      channel.sinceMs = now;
    }
    channel.lastMs = now;
    channel.silent = false;
    if (channel.codes.length < MOST_CODES) channel.codes.push(code);
    if (now - channel.sinceMs < WINDOW_MS || channel.codes.length < LEAST_CODES) return;
    const codes = channel.codes.splice(0);
    this.read(channel, codes, now);
  }

  private read(channel: Channel, codes: readonly number[], now: number): void {
    const { probe } = channel;
    const mean = averageCodes(codes, codesOf(probe));
    if (!mean.ok) {
      this.tell(channel, { ...noReading('range', mean.why), stepK: null }, null, now);
      return;
    }
    const coldC = this.coldOf(probe, now);
    const reading = readAnalogue(mean.code, probe, coldC);
    if (reading.celsius === null || reading.stepK === null || coldC === null) {
      this.tell(channel, reading, mean.code, now);
      return;
    }
    const seen = watchShort(channel.watch, { celsius: reading.celsius, coldC, stepK: reading.stepK }, now);
    channel.watch = seen.watch;
    if (seen.watch.shorted) {
      const why = `${probe.name} fell within seconds onto its own cold junction: the thermocouple is shorted, crushed or wet. If it was only dipped into water as warm as its terminals, warm its tip in the hand`;
      this.tell(channel, { ...noReading('shorted', why), stepK: null }, mean.code, now);
      return;
    }
    this.tell(channel, reading, mean.code, now, seen.atJunction ? AT_JUNCTION : null);
  }

  private coldOf(probe: AnalogueProbe, now: number): number | null {
    if (!('coldJunction' in probe)) return null;
    const { coldJunction } = probe;
    if ('celsius' in coldJunction) return coldJunction.celsius;
    return this.parts.probes.celsiusOf(coldJunction.probe, now, JUNCTION_MS);
  }

  private look(heard: readonly (readonly [number, Channel])[]): void {
    const now = this.parts.nowMs();
    for (const [number, channel] of heard) {
      if (now - channel.lastMs <= SILENT_MS) continue;
      if (now - channel.askedMs > SILENT_MS) this.ask(number, channel);
      if (channel.silent) continue;
      channel.silent = true;
      channel.codes = [];
      const { name, adcBits } = channel.probe;
      const whole = adcBits > SHORT_BITS ? ` of ${adcBits} bits` : '';
      const why = `the board sends no value${whole} of ${name}: see that nothing else uses the pin, or press the reset button of the board`;
      // Dated by the last value, so that it ages like any other.
      this.tell(channel, { ...noReading('absent', why), stepK: null }, null, channel.lastMs);
    }
  }

  private tell(
    { probe }: Channel,
    reading: AnalogueReading,
    code: number | null,
    arrivedMs: number,
    doubt: string | null = null,
  ): void {
    const { kind, name } = probe;
    this.parts.probes.takeAnalogue(name, reading, { kind, code, stepK: reading.stepK, doubt }, arrivedMs);
    this.parts.onChange();
  }
}

const AT_JUNCTION =
  'It reads what its cold junction reads: as cold as that, or the thermocouple is shorted. Warm its tip in the hand; a shorted one does not follow.';

/** The board's pin of an analogue channel; -1 where it has none. */
const pinOf = (io: FirmataBoard, channel: number): number =>
  io.pins.findIndex(({ analogChannel }) => analogChannel === channel);

/** Why a pin of this board cannot be read as configured, or null. The board itself says what it has. */
function pinFault(io: FirmataBoard, channel: number, { name, adcBits }: AnalogueProbe): string | null {
  if (pinOf(io, channel) < 0) {
    const has = io.pins.flatMap(({ analogChannel = 127 }) => (analogChannel < 127 ? [analogChannel] : []));
    const names = has.sort((one, other) => one - other).map((one) => `A${one}`);
    return `this board has no analogue pin ${name}: expected ${names.length === 0 ? 'none at all' : `one of ${names.join(', ')}`}`.slice(
      0,
      280,
    );
  }
  const highest = io.RESOLUTION.ADC;
  if (highest === null || highest === 2 ** adcBits - 1) return null;
  return `the board says that its converter has ${Math.log2(highest + 1)} bits, the configuration says ${adcBits}: mend adcBits of ${name}`;
}

/**
 * On a board with our firmware analogue probes are not read: each stands there without a reading and with the reason.
 * @returns a fault where the bath itself would have to be read so, else null
 */
export function refuseAnalogue(
  probes: Probes,
  analogue: readonly AnalogueProbe[],
  nowMs: number,
): RigFault | null {
  for (const { name, kind } of analogue) {
    const why = `${name} is not read: the board runs our firmware, which reads DS18B20 only`;
    const nothing = { kind, code: null, stepK: null, doubt: null };
    probes.takeAnalogue(name, noReading('absent', why), nothing, nowMs);
  }
  const bath = analogue.find(({ role }) => role === 'bath');
  return bath ? { code: 'rig-analogue-bath', detail: `It is ${bath.name} in rig.analogue.` } : null;
}

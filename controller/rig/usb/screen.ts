/*
 * firmata-io believes every byte: a damaged message makes it throw from inside the port's event. So it gets to see only
 * whole messages of the kinds it is needed for, and our own messages never reach it. Analogue values do not either: they
 * are taken apart here, and only of channels that were asked for; a board of ours is asked for none.
 */

const START = 0xf0;
const END = 0xf7;
const MOST_BYTES = 512;
const FIRMWARE = 0x79;
const CAPABILITY = 0x6c;
const ANALOG_MAPPING = 0x6a;
const STRING = 0x71;
const ONE_WIRE = 0x73;
/** Of sixteen channels, two data bytes; and the longer form, whose values may be of more bits. */
const ANALOG = 0xe0;
const EXTENDED_ANALOG = 0x6f;
const CHANNELS = 16;
const PIN_END = 0x7f;
/** Search, alarm search and read replies. */
const ONE_WIRE_REPLIES = new Set([0x42, 0x43, 0x45]);
const LAST_OWN_ID = 0x0f;

/** State of a screen: plain data. */
export interface Screen {
  readonly open: readonly number[];
  /** Pins the board has told of; the analog mapping must fit them. */
  readonly pins: number;
  /** Analogue channels that were asked for; of all others nothing is let through. */
  readonly channels: readonly number[];
}

export const NEW_SCREEN: Screen = { open: [], pins: 0, channels: [] };

/** A value of the board's converter. */
export interface AnalogueSample {
  readonly channel: number;
  readonly code: number;
  /** Most bits that its form of message can carry: 14 of the short one, 28 of the longer. */
  readonly mostBits: number;
}

/** What came out: our frames (F0 to F7), messages firmata-io may see, and values of the channels asked for. */
export interface Screened {
  readonly screen: Screen;
  readonly ours: readonly number[][];
  readonly firmata: readonly number[][];
  readonly analogue: readonly AnalogueSample[];
}

/** Takes bytes as they come from the port. Never throws, whatever they are; what is not whole or not known is dropped. */
export function screenBytes(before: Screen, bytes: Iterable<number>): Screened {
  const ours: number[][] = [];
  const firmata: number[][] = [];
  const analogue: AnalogueSample[] = [];
  const { channels } = before;
  let open = [...before.open];
  let { pins } = before;
  const hear = (sample: AnalogueSample | null): void => {
    if (sample !== null && channels.includes(sample.channel)) analogue.push(sample);
  };
  for (const byte of bytes) {
    if (byte === END && open[0] === START) {
      const message = [...open, END];
      open = [];
      const id = message[1] ?? 0;
      if (id <= LAST_OWN_ID) ours.push(message);
      else if (id === EXTENDED_ANALOG) hear(extendedSample(message));
      else if (isSound(message, pins)) {
        firmata.push(message);
        if (id === CAPABILITY) pins = message.filter((one) => one === PIN_END).length;
      }
      continue;
    }
    if (byte >= 0x80) open = begins(byte) ? [byte] : [];
    else if (open.length > 0 && open.length < MOST_BYTES) open.push(byte);
    else open = [];
    if (open.length === 3 && open[0] !== START) {
      const kind = open[0]! & 0xf0;
      if (kind === ANALOG) {
        hear({ channel: open[0]! & 0x0f, code: open[1]! | (open[2]! << 7), mostBits: 14 });
      } else firmata.push(open);
      open = [];
    }
  }
  return { screen: { open, pins, channels }, ours, firmata, analogue };
}

/** F0 6F channel, then one to four groups of seven bits, lowest first, F7. Longer than that it is no converter's. */
function extendedSample(message: readonly number[]): AnalogueSample | null {
  const channel = message[2] ?? CHANNELS;
  const groups = message.slice(3, -1);
  if (channel >= CHANNELS || groups.length < 1 || groups.length > 4) return null;
  return { channel, code: groups.reduceRight((sum, bits) => sum * 128 + bits, 0), mostBits: 28 };
}

/** System-exclusive, version, analog and digital values. */
function begins(byte: number): boolean {
  const kind = byte & 0xf0;
  return byte === START || byte === 0xf9 || kind === 0xe0 || kind === 0x90;
}

function isSound(message: readonly number[], pins: number): boolean {
  const length = message.length;
  switch (message[1]) {
    case FIRMWARE:
      return length >= 5 && length % 2 === 1;
    case CAPABILITY:
      return message.at(-2) === PIN_END;
    case ANALOG_MAPPING:
      return pins > 0 && length === pins + 3;
    case STRING:
      return true;
    case ONE_WIRE:
      return length >= 5 && ONE_WIRE_REPLIES.has(message[2] ?? 0);
    default:
      return false;
  }
}

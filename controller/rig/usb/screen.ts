/*
 * firmata-io believes every byte: a damaged message makes it throw from inside the port's event. So it gets to see only
 * whole messages of the kinds it is needed for, and our own messages never reach it.
 */

const START = 0xf0;
const END = 0xf7;
const MOST_BYTES = 512;
const FIRMWARE = 0x79;
const CAPABILITY = 0x6c;
const ANALOG_MAPPING = 0x6a;
const STRING = 0x71;
const ONE_WIRE = 0x73;
const PIN_END = 0x7f;
/** Search, alarm search and read replies. */
const ONE_WIRE_REPLIES = new Set([0x42, 0x43, 0x45]);
const LAST_OWN_ID = 0x0f;

/** State of a screen: plain data. */
export interface Screen {
  readonly open: readonly number[];
  /** Pins the board has told of; the analog mapping must fit them. */
  readonly pins: number;
}

export const NEW_SCREEN: Screen = { open: [], pins: 0 };

/** What came out: our frames (F0 to F7), and messages firmata-io may see. */
export interface Screened {
  readonly screen: Screen;
  readonly ours: readonly number[][];
  readonly firmata: readonly number[][];
}

/** Takes bytes as they come from the port. Never throws, whatever they are; what is not whole or not known is dropped. */
export function screenBytes(before: Screen, bytes: Iterable<number>): Screened {
  const ours: number[][] = [];
  const firmata: number[][] = [];
  let open = [...before.open];
  let { pins } = before;
  for (const byte of bytes) {
    if (byte === END && open[0] === START) {
      const message = [...open, END];
      open = [];
      const id = message[1] ?? 0;
      if (id <= LAST_OWN_ID) ours.push(message);
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
      firmata.push(open);
      open = [];
    }
  }
  return { screen: { open, pins }, ours, firmata };
}

/** System-exclusive, version, analog and digital values: all that a board of ours sends. */
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

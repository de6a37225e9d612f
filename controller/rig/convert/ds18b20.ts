import { oneWireCrc } from '../../../shared/wire/rom.ts';
import { type Converted, good, noReading } from './converted.ts';

/*
 * The DS18B20's scratchpad into a reading. Source of codes, memory map, resolutions and the power-on value: the part's
 * data sheet (tables 1 and 2, memory map). The firmware judges the same bytes by the same rules (core/scratchpad.c);
 * here they are judged again, for boards without it and because a cable lies between.
 */

/** Code of +85 degrees C, held from power-on to the end of the first conversion. */
const POWER_ON_CODE = 0x0550;
/** 85.0 is believed only from a probe that was this near to it. Common practice, no source; the firmware has the same. */
const POWER_ON_NEAR_C = 5;
const CODES_PER_C = 16;
const LOWEST_C = -55;
const HIGHEST_C = 125;

/** A scratchpad read: also how finely the sensor measured, 9 to 12 bits; null where the bytes cannot be trusted. */
export interface ScratchpadReading extends Converted {
  readonly resolutionBits: number | null;
}

/**
 * Judges the nine bytes of a scratchpad as they came over the wire. Never throws, whatever the bytes.
 * @param lastGoodC the last good reading of the same probe since the rig was opened, or null: 85.0 has a right
 *   checksum also as the power-on value, so only the context tells
 */
export function readScratchpad(scratchpad: ArrayLike<number>, lastGoodC: number | null): ScratchpadReading {
  const bytes = Array.from(scratchpad);
  const fault = structureFault(bytes);
  if (fault !== null) return { ...fault, resolutionBits: null };
  const resolutionBits = 9 + ((bytes[4]! >> 5) & 3);
  // Below 12 bits the lowest bits are undefined (data sheet, table 2).
  const code = (bytes[0]! | (bytes[1]! << 8)) & ~(2 ** (12 - resolutionBits) - 1);
  const celsius = (code >= 0x8000 ? code - 0x10000 : code) / CODES_PER_C;
  return { ...judged(celsius, code, lastGoodC), resolutionBits };
}

/** What speaks against the bytes as such: an empty bus, a shorted one, noise, or another part. */
function structureFault(bytes: readonly number[]): Converted | null {
  if (bytes.length !== 9 || !bytes.every((byte) => Number.isInteger(byte) && byte >= 0 && byte <= 255)) {
    return noReading(
      'crc',
      `a scratchpad is 9 bytes of 0 to 255, this is [${bytes.slice(0, 12).join(', ')}]`,
    );
  }
  if (bytes.every((byte) => byte === 0xff)) {
    return noReading('absent', 'no answer from the probe (all ones): plug it in, check its three wires');
  }
  // Nine zero bytes have a right checksum, so this comes first for the sake of its words.
  if (bytes.every((byte) => byte === 0)) {
    return noReading('crc', 'the data line is held low (all zeros): a short, or water in a plug');
  }
  if (oneWireCrc(bytes) !== 0) {
    return noReading('crc', 'the checksum of the probe is wrong: noise, a long cable or a bad contact');
  }
  const [, , , , config, fifth, , seventh] = bytes;
  if (fifth !== 0xff || seventh !== 0x10 || (config! & 0x9f) !== 0x1f) {
    return noReading(
      'crc',
      'the fixed bytes are not those of a DS18B20: another part, or an imitation of it',
    );
  }
  return null;
}

function judged(celsius: number, code: number, lastGoodC: number | null): Converted {
  if (celsius < LOWEST_C || celsius > HIGHEST_C) {
    return noReading(
      'range',
      `${celsius} °C is outside what the sensor can measure, ${LOWEST_C} to ${HIGHEST_C} °C`,
    );
  }
  const near = lastGoodC !== null && Math.abs(lastGoodC - celsius) <= POWER_ON_NEAR_C;
  if (code === POWER_ON_CODE && !near) {
    return noReading(
      'power-on',
      '85.0 °C is what the sensor holds before its first conversion, and it was not near it',
    );
  }
  return good(celsius);
}

import { z } from 'zod';

/** Family code of the DS18B20, the first byte of its ROM (data sheet, "64-bit lasered ROM code"). */
export const DS18B20_FAMILY = 0x28;

/**
 * The 1-Wire check byte: x^8 + x^5 + x^4 + 1, least significant bit first, starting at 0; 0 over data that ends with
 * its own check byte. Source: Maxim application note 27.
 */
export function oneWireCrc(bytes: Iterable<number>): number {
  let crc = 0;
  for (const byte of bytes) {
    crc ^= byte;
    for (let bit = 0; bit < 8; bit++) crc = crc & 1 ? (crc >> 1) ^ 0x8c : crc >> 1;
  }
  return crc;
}

/** A ROM as people and files have it: 16 hex digits, family first, check byte last, as on the wire. */
export function romText(rom: readonly number[]): string {
  return rom
    .map((byte) => byte.toString(16).padStart(2, '0'))
    .join('')
    .toUpperCase();
}

/** The eight bytes of a ROM text. @throws RangeError that says what is wrong with it */
export function romBytes(text: string): number[] {
  const fault = romFault(text);
  if (fault !== null) throw new RangeError(fault);
  return bytesOf(text);
}

/** What is wrong with the ROM of a probe, or null. The check byte catches a mistyped digit. */
export function romFault(text: string): string | null {
  if (!/^[0-9A-F]{16}$/.test(text)) {
    return `the ROM "${text}" must be 16 hexadecimal digits, 0-9 and A-F in capitals, as \`bathkeeper rig\` prints it`;
  }
  const bytes = bytesOf(text);
  if (bytes[0] !== DS18B20_FAMILY) {
    return `the ROM ${text} is not that of a DS18B20: it must begin with 28, this is family ${text.slice(0, 2)}`;
  }
  if (oneWireCrc(bytes) !== 0) {
    return `the ROM ${text} fails its own check byte: a digit is mistyped, copy it again`;
  }
  return null;
}

const bytesOf = (text: string): number[] =>
  (text.match(/../g) ?? []).map((pair) => Number.parseInt(pair, 16));

/** ROM of a DS18B20 probe as text, its check byte right. */
export const probeRomSchema = z.string().superRefine((text, context) => {
  const message = romFault(text);
  if (message !== null) context.addIssue({ code: 'custom', message });
});

/** Flash of the ATmega328P, bytes. */
export const FLASH_BYTES = 32 * 1024;

/** A program as it stands in flash. */
export interface Image {
  /** Whole flash as instruction words; what the file leaves out reads 0xFFFF, as erased flash does. */
  readonly words: Uint16Array;
  /** Bytes the file fills. */
  readonly usedBytes: number;
}

class HexError extends Error {}

const fail = (line: number, wrong: string, mend: string): never => {
  throw new HexError(`Line ${line} of the Intel HEX file ${wrong}. ${mend}`);
};

function recordBytes(text: string, line: number): number[] {
  if (!/^:([0-9a-f]{2}){5,}$/i.test(text)) {
    fail(
      line,
      'is not a record',
      'Expected a colon and at least five pairs of hex digits; build or fetch it anew.',
    );
  }
  const bytes = [...Buffer.from(text.slice(1), 'hex')];
  if (bytes.reduce((sum, byte) => sum + byte, 0) % 256 !== 0) {
    fail(
      line,
      'has a wrong checksum',
      'All its bytes must add up to 0 modulo 256; the file is damaged, fetch it anew.',
    );
  }
  if (bytes[0] !== bytes.length - 5) {
    fail(
      line,
      `says ${bytes[0]} data bytes but has ${bytes.length - 5}`,
      'The file is damaged, fetch it anew.',
    );
  }
  return bytes;
}

/**
 * Reads an Intel HEX file (record types 00 data, 01 end, 02 and 04 extended address, 03 and 05 start).
 *
 * @returns flash as words. Throws with the line number when a record is malformed, when data does not fit the
 * ATmega328P's 32 KiB, or when the end record is missing (a file cut short).
 */
export function parseIntelHex(text: string): Image {
  const flash = new Uint8Array(FLASH_BYTES).fill(0xff);
  let base = 0;
  let usedBytes = 0;
  let ended = false;
  for (const [index, raw] of text.split(/\r?\n/).entries()) {
    const record = raw.trim();
    if (record === '' || ended) continue;
    const line = index + 1;
    const [count = 0, high = 0, low = 0, type = 0, ...rest] = recordBytes(record, line);
    const data = rest.slice(0, count);
    if (type === 1) ended = true;
    else if (type === 2) base = ((data[0] ?? 0) * 256 + (data[1] ?? 0)) * 16;
    else if (type === 4) base = ((data[0] ?? 0) * 256 + (data[1] ?? 0)) * 65_536;
    else if (type === 0) {
      const start = base + high * 256 + low;
      if (start + count > FLASH_BYTES) {
        fail(line, `reaches byte ${start + count - 1}`, 'The ATmega328P has 32768 bytes of flash.');
      }
      flash.set(data, start);
      usedBytes += count;
    } else if (type !== 3 && type !== 5) fail(line, `has record type ${type}`, 'Expected 0 to 5.');
  }
  if (!ended) throw new HexError('The Intel HEX file has no end record (:00000001FF); it was cut short.');
  return { words: new Uint16Array(flash.buffer), usedBytes };
}

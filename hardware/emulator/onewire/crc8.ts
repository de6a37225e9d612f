/**
 * The 1-Wire check byte: x^8 + x^5 + x^4 + 1, least significant bit first, initial value 0.
 * Source: Maxim application note 27; over data followed by its check byte the result is 0.
 */
export function crc8(bytes: Iterable<number>): number {
  let crc = 0;
  for (const byte of bytes) {
    crc ^= byte;
    for (let bit = 0; bit < 8; bit += 1) crc = crc & 1 ? (crc >> 1) ^ 0x8c : crc >> 1;
  }
  return crc;
}

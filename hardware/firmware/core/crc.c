#include "crc.h"

uint16_t crc16_add(uint16_t crc, uint8_t byte) {
  /* Eight steps at once: the remainder of the top byte folded twice, as the polynomial has three taps. */
  uint8_t top = (uint8_t)(crc >> 8) ^ byte;
  top ^= top >> 4;
  return (uint16_t)((crc << 8) ^ ((uint16_t)top << 12) ^ ((uint16_t)top << 5) ^ top);
}

uint16_t crc16(const uint8_t *bytes, uint8_t count) {
  uint16_t crc = CRC16_START;
  while (count--) crc = crc16_add(crc, *bytes++);
  return crc;
}

uint8_t crc8(const uint8_t *bytes, uint8_t count) {
  uint8_t crc = 0;
  while (count--) {
    crc ^= *bytes++;
    for (uint8_t bit = 0; bit < 8; bit++) crc = (crc & 1) ? (uint8_t)((crc >> 1) ^ 0x8C) : (uint8_t)(crc >> 1);
  }
  return crc;
}

#include "scratchpad.h"

#include "bath.h"
#include "bytes.h"
#include "crc.h"

#define RAW_MIN (-55 * 16)
#define RAW_MAX (125 * 16)
#define RAW_POWER_ON (85 * 16)
#define NEAR (5 * 16)

int16_t scratchpad_raw(const uint8_t *pad) { return (int16_t)get16(pad); }

uint8_t scratchpad_judge(const uint8_t *pad, int16_t last_raw) {
  uint8_t all_ones = 0xFF;
  for (uint8_t i = 0; i < 9; i++) all_ones &= pad[i];
  if (all_ones == 0xFF) return READ_SILENT;
  if (crc8(pad, 8) != pad[8]) return READ_BAD_CRC;
  int16_t raw = scratchpad_raw(pad);
  /* Nine zero bytes, a bus held low, have a right CRC: the fixed bytes tell. */
  if (pad[5] != 0xFF || pad[7] != 0x10 || (pad[4] & 0x9F) != 0x1F) return READ_BAD_FIXED;
  if (raw < RAW_MIN || raw > RAW_MAX) return READ_BAD_FIXED;
  /* 85.0 is what the part holds before its first conversion: believed only from a probe that was near it. */
  if (raw == RAW_POWER_ON) {
    if (last_raw == NO_RAW || last_raw < RAW_POWER_ON - NEAR || last_raw > RAW_POWER_ON + NEAR) return READ_POWER_ON;
  }
  return READ_GOOD;
}

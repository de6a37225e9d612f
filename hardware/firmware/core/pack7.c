#include "pack7.h"

#include "hal.h"

int16_t unpack7(uint8_t *bytes, uint8_t packed) {
  uint16_t held = 0;
  uint8_t bits = 0;
  uint8_t out = 0;
  for (uint8_t in = 0; in < packed; in++) {
    held |= (uint16_t)((uint16_t)(bytes[in] & 0x7F) << bits);
    bits += 7;
    if (bits >= 8) {
      bytes[out++] = (uint8_t)held;
      held >>= 8;
      bits -= 8;
    }
  }
  return held ? -1 : out;
}

static uint16_t held;
static uint8_t bits;

void pack7_start(void) {
  held = 0;
  bits = 0;
}

void pack7_put(uint8_t byte) {
  held |= (uint16_t)((uint16_t)byte << bits);
  bits += 8;
  while (bits >= 7) {
    hal_tx((uint8_t)held & 0x7F);
    held >>= 7;
    bits -= 7;
  }
}

void pack7_end(void) {
  if (bits) hal_tx((uint8_t)held & 0x7F);
}

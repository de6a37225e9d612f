#include "frame.h"

#include "crc.h"
#include "hal.h"
#include "pack7.h"

static uint16_t crc;

bool frame_open(uint8_t id, uint8_t body_bytes) {
  if (hal_tx_room() < packed_length((uint8_t)(body_bytes + 2)) + 3) return false;
  crc = crc16_add(CRC16_START, id);
  hal_tx(0xF0);
  hal_tx(id);
  pack7_start();
  return true;
}

void frame8(uint8_t value) {
  crc = crc16_add(crc, value);
  pack7_put(value);
}

void frame16(uint16_t value) {
  frame8((uint8_t)value);
  frame8((uint8_t)(value >> 8));
}

void frame32(uint32_t value) {
  frame16((uint16_t)value);
  frame16((uint16_t)(value >> 16));
}

void frame_bytes(const uint8_t *bytes, uint8_t count) {
  while (count--) frame8(*bytes++);
}

void frame_close(void) {
  uint16_t sum = crc;
  pack7_put((uint8_t)sum);
  pack7_put((uint8_t)(sum >> 8));
  pack7_end();
  hal_tx(0xF7);
}

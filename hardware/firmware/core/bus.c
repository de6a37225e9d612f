#include "bus.h"

#include "hal.h"

#define SEARCH_BITS_A_STEP 4
#define MATCH_ROM 0x55

bus_job_t bus;

static bool busy;
static uint8_t sent;
static uint8_t received;
static bool to_reset;

void bus_clear(void) {
  bus.reset = false;
  bus.send_count = 0;
  bus.receive_count = 0;
  bus.search = 0;
}

void bus_send(uint8_t byte) {
  if (bus.send_count < BUS_SEND_MAX) bus.send[bus.send_count++] = byte;
}

void bus_send_match(const uint8_t *rom) {
  bus_send(MATCH_ROM);
  for (uint8_t i = 0; i < 8; i++) bus_send(rom[i]);
}

void bus_start(void) {
  busy = true;
  sent = 0;
  received = 0;
  to_reset = bus.reset;
  bus.presence = OW_PRESENT;
  bus.failed = false;
}

bool bus_busy(void) { return busy; }

static void send_byte(uint8_t byte) {
  for (uint8_t bit = 0; bit < 8; bit++, byte >>= 1) hal_ow_write_bit(byte & 1);
}

static uint8_t receive_byte(void) {
  uint8_t byte = 0;
  for (uint8_t bit = 0; bit < 8; bit++) byte = (uint8_t)(byte >> 1 | (hal_ow_read_bit() ? 0x80 : 0));
  return byte;
}

static void step_search(void) {
  for (uint8_t i = 0; i < SEARCH_BITS_A_STEP; i++) {
    if (!search_bit(bus.search)) {
      bus.failed = true;
      busy = false;
      return;
    }
  }
  if (search_pass_done(bus.search)) busy = false;
}

void bus_step(void) {
  if (!busy) return;
  if (to_reset) {
    to_reset = false;
    bus.presence = hal_ow_reset();
    if (bus.presence != OW_PRESENT) {
      bus.failed = true;
      busy = false;
    }
  } else if (sent < bus.send_count) {
    send_byte(bus.send[sent++]);
    if (sent == bus.send_count && bus.search) search_pass(bus.search);
  } else if (received < bus.receive_count) {
    bus.receive[received++] = receive_byte();
  } else if (bus.search) {
    step_search();
    return;
  }
  if (!to_reset && sent >= bus.send_count && received >= bus.receive_count && !bus.search) busy = false;
}

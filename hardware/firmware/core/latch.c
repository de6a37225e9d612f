#include "latch.h"

#include "bytes.h"
#include "crc.h"
#include "hal.h"
#include "ring.h"

/* 1024 bytes of EEPROM: 32 reset counts of 12 bytes, 64 latch changes of 8. At 100,000 writes a cell that is
   3.2 million resets and 6.4 million changes. */
static ring_t boots = {.base = 0, .slots = 32, .payload = 8};
static ring_t trips = {.base = 512, .slots = 64, .payload = 4};

static uint8_t boot_payload[8]; /* count, key */
static bool boot_pending;

static uint8_t cause;
static uint16_t detail;
static bool trip_pending; /* cause and detail are not yet in EEPROM */
static bool clearing;

#define KEEPSAKE_MARK 0xB7

/* A copy in memory that outlives resets covers the first milliseconds, before EEPROM has the trip. */
static void keep_copy(void) {
  uint8_t *kept = hal_keepsake();
  kept[0] = KEEPSAKE_MARK;
  kept[1] = cause;
  put16(kept + 2, detail);
  put16(kept + 4, crc16(kept, 4));
  put16(kept + 6, (uint16_t)(0xFFFF - crc16(kept, 4)));
}

static bool copy_is_sound(const uint8_t *kept) {
  uint16_t crc = crc16(kept, 4);
  return kept[0] == KEEPSAKE_MARK && get16(kept + 4) == crc && get16(kept + 6) == 0xFFFF - crc;
}

static void read_trips(void) {
  uint8_t payload[4] = {CAUSE_NONE, 0, 0, 0};
  const uint8_t *kept = hal_keepsake();
  ring_scan(&trips, payload);
  cause = payload[0];
  detail = get16(payload + 1);
  if (cause == CAUSE_NONE && copy_is_sound(kept) && kept[1] != CAUSE_NONE) {
    cause = kept[1];
    detail = get16(kept + 2);
    trip_pending = true;
  } else if (trips.torn && cause == CAUSE_NONE) {
    cause = CAUSE_TORN;
    detail = 0;
    trip_pending = true;
  }
  keep_copy();
}

void latch_count_boot(void) {
  put32(boot_payload, get32(boot_payload) + 1);
  boot_pending = true;
}

void latch_init(void) {
  trip_pending = false;
  clearing = false;
  ring_scan(&boots, boot_payload);
  if (!boots.any) {
    put32(boot_payload, 0);
    put32(boot_payload + 4, hal_noise());
  }
  latch_count_boot();
  read_trips();
}

void latch_set(uint8_t new_cause, uint16_t new_detail) {
  if (cause != CAUSE_NONE && !clearing) return;
  cause = new_cause;
  detail = new_detail;
  trip_pending = true;
  clearing = false;
  keep_copy();
}

bool latch_clear(void) {
  if (trip_pending || ring_busy()) return false;
  clearing = true;
  return true;
}

void latch_poll(void) {
  static bool writing_clear;
  ring_poll();
  if (ring_busy()) return;
  if (writing_clear) {
    writing_clear = false;
    if (clearing && !ring_failed()) {
      cause = CAUSE_NONE;
      detail = 0;
      keep_copy();
    }
    clearing = false;
  }
  if (trip_pending || clearing) {
    uint8_t payload[4] = {trip_pending ? cause : CAUSE_NONE, 0, 0, 0};
    if (trip_pending) put16(payload + 1, detail);
    writing_clear = !trip_pending;
    trip_pending = false;
    ring_write(&trips, payload);
  } else if (boot_pending) {
    boot_pending = false;
    ring_write(&boots, boot_payload);
  }
}

bool latch_clearing(void) { return clearing; }

uint8_t latch_cause(void) { return cause; }

uint16_t latch_detail(void) { return detail; }

bool latch_fault(void) { return ring_failed(); }

uint32_t latch_boot_count(void) { return get32(boot_payload); }

uint32_t latch_key(void) { return get32(boot_payload + 4); }

bool latch_booted(void) { return !boot_pending && !ring_busy(); }

#include "config.h"
#include "conditions.h"

#include "bath.h"
#include "corrupt.h"
#include "hal.h"
#include "latch.h"
#include "lease.h"
#include "level.h"
#include "limits.h"
#include "sounder.h"

static bool heat_too_long;
static uint32_t stuck_since;
static uint8_t stuck;
static uint8_t round_count; /* of polls; each time it wraps, about once a second, memory is checked */

void trip(uint8_t cause, uint16_t detail) {
  lease_open_all();
  if (latch_cause() == CAUSE_NONE) sounder_unhush();
  latch_set(cause, detail);
}

void conditions_init(void) {
  heat_too_long = false;
  stuck = 0;
  bath_forget();
  corrupt_init();
  level_init();
}

/* A driver that is high though commanded low: shorted to 5 V, or a broken output stage. */
static void watch_switches(uint32_t now_ms, uint8_t commanded) {
  uint8_t high = hal_switches_measured() & (uint8_t)~commanded;
  if (!high) {
    stuck = 0;
    stuck_since = now_ms;
  } else if (now_ms - stuck_since >= STUCK_MS && !stuck) {
    stuck = high;
    trip(CAUSE_SWITCH_STUCK, high);
  }
}

static void watch_heat(const lease_view_t *lease) {
  if (limits_any() && lease->heat_s >= limits()->max_heat_s && !heat_too_long) {
    heat_too_long = true;
    trip(CAUSE_HEAT_TOO_LONG, lease->heat_s);
  }
  if (lease->rested) heat_too_long = false;
}

static void watch_probe(uint32_t now_ms) {
  uint16_t age = bath_age(now_ms);
  if (age > limits()->silence_ms) trip(bath_mostly_silent() ? CAUSE_PROBE_SILENT : CAUSE_PROBE_FAILING, age);
}

void conditions_poll(uint32_t now_ms) {
  lease_view_t lease = lease_view();
  if (lease.memory_fault || (!++round_count && !limits_intact())) trip(CAUSE_MEMORY, 0);
  watch_switches(now_ms, lease.closed);
  watch_heat(&lease);
  level_poll(hal_level_closed(), now_ms);
  corrupt_poll(now_ms);
  if (!lease.switches) return;
  watch_probe(now_ms);
  if (level_low()) trip(CAUSE_LEVEL_LOW, 0);
  if (corrupt_full()) trip(CAUSE_LINK_CORRUPT, corrupt_count());
}

void conditions_bath_good(int16_t raw, uint32_t now_ms) {
  uint8_t above = bath_good(raw, limits()->max_raw, now_ms);
  if (above == 1) lease_open_all();
  if (above == 2) trip(CAUSE_OVER_TEMPERATURE, (uint16_t)raw);
}

uint16_t conditions_blocks(uint32_t now_ms) {
  uint16_t blocks = 0;
  if (!limits_session()) blocks |= BLOCK_NO_SESSION;
  if (latch_cause() != CAUSE_NONE) blocks |= BLOCK_LATCHED;
  if (bath_over()) blocks |= BLOCK_OVER_TEMPERATURE;
  if (!limits_any() || bath_age(now_ms) > limits()->silence_ms) blocks |= BLOCK_PROBE_STALE;
  if (level_low()) blocks |= BLOCK_LEVEL_LOW;
  if (stuck) blocks |= BLOCK_SWITCH_STUCK;
  if (latch_fault()) blocks |= BLOCK_EEPROM;
  if (heat_too_long) blocks |= BLOCK_HEAT_TOO_LONG;
  if (corrupt_full()) blocks |= BLOCK_LINK_CORRUPT;
  return blocks;
}

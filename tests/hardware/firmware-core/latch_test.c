/* The latch in EEPROM: power cut at each byte, ring and number going round, worn cells. */
#include <string.h>

#include "fake_hal.h"

#include "ring.c"
/* Names both files use for themselves. */
#include "latch.c"

static void blank(void) {
  memset(fake_eeprom, 0xFF, sizeof fake_eeprom);
  memset(fake_writes, 0, sizeof fake_writes);
}

static void settle(void) {
  for (int i = 0; i < 400 && fake_powered; i++) latch_poll();
}

/* A reset; power_cut: the copy in memory is lost too. */
static void reset(int power_cut) {
  memset(&job, 0, sizeof job);
  memset(&boot_payload, 0, sizeof boot_payload);
  trips.number = boots.number = 0;
  fake_powered = 1;
  fake_cut_in = 0;
  if (power_cut) {
    for (int i = 0; i < 8; i++) fake_keepsake[i] = (uint8_t)rand();
  }
  latch_init();
}

static void start(int power_cut) {
  reset(power_cut);
  settle();
}

/* Bring trips' ring to a state `changes` changes old, cleared at the end. */
static void age_ring(int changes) {
  for (int i = 0; i < changes; i++) {
    latch_set(CAUSE_HOST, (uint16_t)i);
    settle();
    CHECK(latch_clear(), "clear refused");
    settle();
    CHECK(latch_cause() == CAUSE_NONE, "not cleared");
  }
}

static void cut_while_tripping(int changes) {
  for (uint32_t cut = 1; cut <= 8; cut++) {
    blank();
    start(1);
    age_ring(changes);
    latch_set(CAUSE_LEVEL_LOW, 0x1234);
    fake_cut_in = cut;
    settle();
    start(1);
    CHECK(latch_cause() == CAUSE_LEVEL_LOW || latch_cause() == CAUSE_TORN, "cut %u after %d: %u", cut, changes,
          latch_cause());
    uint8_t cause_then = latch_cause();
    start(1);
    CHECK(latch_cause() == cause_then, "did not stay");
  }
}

static void cut_while_clearing(int changes) {
  for (uint32_t cut = 1; cut <= 8; cut++) {
    blank();
    start(1);
    age_ring(changes);
    latch_set(CAUSE_OVER_TEMPERATURE, 1400);
    settle();
    CHECK(latch_clear(), "clear refused");
    fake_cut_in = cut;
    settle();
    CHECK(latch_cause() == CAUSE_OVER_TEMPERATURE, "released before EEPROM had it");
    start(1);
    /* The last byte may by chance have been written whole. */
    CHECK(latch_cause() == CAUSE_OVER_TEMPERATURE || cut == 8, "cut %u after %d: %u", cut, changes, latch_cause());
  }
}

/* A reset that keeps memory, before a single byte has reached EEPROM. */
static void reset_at_once(void) {
  blank();
  start(1);
  latch_set(CAUSE_PROBE_SILENT, 3001);
  reset(0);
  CHECK(latch_cause() == CAUSE_PROBE_SILENT && latch_detail() == 3001, "lost in a reset");
  settle();
  start(1);
  CHECK(latch_cause() == CAUSE_PROBE_SILENT, "not stored after the reset");
}

static void first_cause_stays(void) {
  blank();
  start(1);
  latch_set(CAUSE_LEVEL_LOW, 1);
  latch_set(CAUSE_HOST, 2);
  settle();
  latch_set(CAUSE_OVER_TEMPERATURE, 3);
  settle();
  start(1);
  CHECK(latch_cause() == CAUSE_LEVEL_LOW && latch_detail() == 1, "cause %u", latch_cause());
}

/* A trip while the last one is being cleared is a new first cause, and wins. */
static void trip_while_clearing(void) {
  for (int polls = 0; polls < 20; polls++) {
    blank();
    start(1);
    latch_set(CAUSE_LEVEL_LOW, 1);
    settle();
    latch_clear();
    for (int i = 0; i < polls; i++) latch_poll();
    latch_set(CAUSE_HOST, 2);
    settle();
    CHECK(latch_cause() == CAUSE_HOST, "cause %u", latch_cause());
    start(1);
    CHECK(latch_cause() == CAUSE_HOST, "cause %u after reset", latch_cause());
  }
}

/* 70,000 changes: the number goes round past 65535, and no cell is written more than its share. */
static void wear_is_spread(void) {
  blank();
  start(1);
  age_ring(35000);
  latch_set(CAUSE_HEAT_TOO_LONG, 7);
  settle();
  start(1);
  CHECK(latch_cause() == CAUSE_HEAT_TOO_LONG, "lost as the number went round");
  uint32_t most = 0;
  for (int i = 512; i < 1024; i++) most = fake_writes[i] > most ? fake_writes[i] : most;
  CHECK(most <= 70001 / 64 + 1, "a cell was written %u times", most);
}

static void worn_cell(void) {
  blank();
  start(1);
  fake_worn = 512 + 3; /* in the first slot */
  latch_set(CAUSE_LEVEL_LOW, 0x55);
  settle();
  CHECK(!latch_fault(), "one worn cell is no fault");
  start(1);
  CHECK(latch_cause() == CAUSE_LEVEL_LOW, "lost to a worn cell");
  fake_worn = -1;
}

static void foreign_content_starts_latched(void) {
  for (int i = 0; i < 1024; i++) fake_eeprom[i] = (uint8_t)(i * 7);
  start(1);
  CHECK(latch_cause() == CAUSE_TORN, "cause %u", latch_cause());
  CHECK(latch_clear(), "clear refused");
  settle();
  start(1);
  CHECK(latch_cause() == CAUSE_NONE, "cause %u", latch_cause());
}

static void resets_are_counted(void) {
  blank();
  for (uint32_t i = 1; i <= 100; i++) {
    reset(1);
    CHECK(!latch_booted(), "nonces before the count is stored");
    settle();
    CHECK(latch_booted() && latch_boot_count() == i, "count %u of %u", latch_boot_count(), i);
    CHECK(latch_key() == 0x1234ABCDul, "key changed");
  }
  /* Cut while counting: the next count may repeat, but then no nonce was issued under the lost one. */
  reset(1);
  fake_cut_in = 5;
  settle();
  CHECK(!latch_booted(), "booted without a count");
  start(1);
  CHECK(latch_boot_count() == 101 && latch_key() == 0x1234ABCDul, "count %u", latch_boot_count());
}

int main(void) {
  static const int changes[] = {0, 1, 31, 32, 33, 63, 64, 127};
  for (int i = 0; i < 8; i++) {
    cut_while_tripping(changes[i]);
    cut_while_clearing(changes[i]);
  }
  reset_at_once();
  first_cause_stays();
  trip_while_clearing();
  wear_is_spread();
  worn_cell();
  foreign_content_starts_latched();
  resets_are_counted();
  printf("ok\n");
  return 0;
}

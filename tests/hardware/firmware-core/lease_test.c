/* Leases against the clock, tick by tick. The unit under test is included, so that its memory can be damaged. */
#include <string.h>

#include "fake_hal.h"

#include "lease.c"

static void tick(void) {
  fake_now++;
  lease_tick();
}

static void rest(void) {
  for (int i = 0; i < 300; i++) tick();
}

/* Heat asked at `age` after issue, for `duration` after issue: when does each switch open? */
static void expiry(uint32_t start, uint16_t age, uint16_t duration) {
  uint32_t regulating_open = 0, guard_open = 0, regulating_closed = 0;
  lease_init();
  fake_now = start;
  rest();
  uint32_t issued = fake_now - age;
  uint16_t left = lease_grant(issued, duration, SWITCHES_HEAT);
  CHECK(left == (age < duration ? duration - age : 0), "age %u duration %u left %u", age, duration, left);
  uint8_t before = fake_switches;
  for (int i = 0; i < 2300; i++) {
    tick();
    if ((fake_switches & 1) && !(before & 1)) regulating_closed = fake_now - issued;
    if (!(fake_switches & 1) && (before & 1)) regulating_open = fake_now - issued;
    if (!(fake_switches & 2) && (before & 2)) guard_open = fake_now - issued;
    CHECK(!(fake_switches & 1) || (fake_switches & 2), "regulating closed without guard");
    before = fake_switches;
  }
  CHECK(fake_switches == 0, "still closed");
  if (age >= duration) return;
  uint32_t lead_done = age + 1 + GUARD_LEAD_MS;
  if (duration > lead_done) {
    CHECK(regulating_closed == lead_done, "closed at %u, age %u", regulating_closed, age);
    CHECK(regulating_open == duration, "opened at %u of %u", regulating_open, duration);
    uint32_t guard_due = duration + 100u > 2000u ? 2000u : duration + 100u;
    CHECK(guard_open == guard_due, "guard at %u, due %u", guard_open, guard_due);
  }
}

static void every_duration(void) {
  static const uint32_t starts[] = {1000, 0xFFFFFF00ul - 300, 0xFFFFFFFFul - 1500, 0x7FFFFFFFul - 500};
  for (int s = 0; s < 4; s++) {
    for (uint16_t duration = 1; duration <= 2000; duration += 7) {
      for (uint16_t age = 0; age <= 700; age += 50) expiry(starts[s], age, duration);
    }
    expiry(starts[s], 0, 2000);
    expiry(starts[s], 700, 2000);
  }
}

static void no_long_lease(void) {
  lease_init();
  fake_now = 5000;
  CHECK(lease_grant(fake_now, 2001, SWITCHES_HEAT) == 0, "2001 ms granted");
  CHECK(lease_grant(fake_now - 0x80000000ul, 1600, SWITCHES_HEAT) == 0, "an old nonce granted");
  CHECK(lease_grant(fake_now + 1, 1600, SWITCHES_HEAT) == 0, "a nonce from the future granted");
}

/* Flip each bit of the counters at many moments: never heat past the cap of the lease, and the fault is seen. */
static void flipped_bits(void) {
  uint16_t *const words[] = {&s.left, &s.cap, &s.spread};
  for (int word = 0; word < 3; word++) {
    for (int bit = 0; bit < 16; bit++) {
      for (int at = 0; at < 2200; at += 37) {
        lease_init();
        fake_now = 10000;
        rest();
        uint32_t issued = fake_now;
        lease_grant(issued, 1600, SWITCHES_HEAT);
        for (int i = 0; i < at; i++) tick();
        *words[word] ^= (uint16_t)(1u << bit);
        tick();
        CHECK(fake_switches == 0, "word %d bit %d at %d: not open", word, bit, at);
        CHECK(lease_view().memory_fault, "word %d bit %d at %d: not noticed", word, bit, at);
        for (int i = 0; i < 3000; i++) {
          tick();
          CHECK(fake_switches == 0, "word %d bit %d at %d: closed again", word, bit, at);
        }
      }
    }
  }
}

/* A flip in the commanded or wanted switches closes nothing for longer than the tick, when no lease is in force. */
static void flipped_switches(void) {
  for (int bit = 0; bit < 8; bit++) {
    lease_init();
    rest();
    s.closed ^= (uint8_t)(1 << bit);
    s.want ^= (uint8_t)(1 << bit);
    tick();
    CHECK(fake_switches == 0, "bit %d closed a switch", bit);
  }
}

static void heat_is_counted(void) {
  lease_init();
  fake_now = 0;
  for (int second = 0; second < 100; second++) {
    lease_grant(fake_now, 1600, SWITCHES_HEAT);
    for (int i = 0; i < 1000; i++) tick();
  }
  CHECK(lease_view().heat_s == 99, "heat %u s", lease_view().heat_s);
  lease_release();
  for (int i = 0; i < 499; i++) tick();
  CHECK(lease_view().heat_s == 99, "a short break must not count");
  tick();
  tick();
  CHECK(lease_view().heat_s == 0, "half a second off begins afresh");
}

int main(void) {
  every_duration();
  no_long_lease();
  flipped_bits();
  flipped_switches();
  heat_is_counted();
  printf("ok\n");
  return 0;
}

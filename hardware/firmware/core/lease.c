#include "config.h"
#include "lease.h"

#include "hal.h"

/* Shared with the interrupt: the main loop touches these only under hal_lock. */
static struct {
  uint16_t left; /* ms to the end of the lease */
  uint16_t cap;  /* ms until both must be open, whatever else: 2 s after the nonce was issued */
  /* cap less left, which counting down does not change: a bit flipped in RAM must not lengthen a lease. */
  uint16_t spread;
  uint8_t want;
  uint8_t closed;
  uint8_t since; /* ms since a switch last moved, stays at GUARD_LEAD_MS */
  uint16_t heat_ms;
  uint16_t heat_s;
  uint16_t off_ms;
  bool fault;
} s;

static void forget(void) {
  s.left = 0;
  s.cap = 0;
  s.spread = 0;
  s.want = 0;
}

void lease_init(void) {
  s.closed = 0;
  s.since = GUARD_LEAD_MS;
  s.off_ms = 0;
  s.heat_s = 0;
  s.heat_ms = 0;
  s.fault = false;
  forget();
  hal_switches(0);
}

static void count_heat(void) {
  if (s.closed == SWITCHES_HEAT) {
    s.off_ms = 0;
    if (++s.heat_ms >= 1000) {
      s.heat_ms = 0;
      if (s.heat_s != 0xFFFF) s.heat_s++;
    }
  } else if (s.off_ms < HEAT_REST_MS && ++s.off_ms == HEAT_BREAK_MS) {
    s.heat_s = 0;
    s.heat_ms = 0;
  }
}

/* Move at most one switch towards what the lease wants. Regulating never stays closed while the guard moves. */
static void sequence(void) {
  uint8_t differs = s.want ^ s.closed;
  if (!differs) return;
  if (s.closed & SWITCH_REGULATING) {
    s.closed &= (uint8_t)~SWITCH_REGULATING;
  } else if (s.since < GUARD_LEAD_MS) {
    return;
  } else if (differs & SWITCH_GUARD) {
    s.closed ^= SWITCH_GUARD;
  } else {
    s.closed |= SWITCH_REGULATING;
  }
  s.since = 0;
}

void lease_tick(void) {
  if ((uint16_t)(s.cap - s.left) != s.spread) {
    s.fault = true;
    forget();
  }
  if (s.since < GUARD_LEAD_MS) s.since++;
  if (s.cap) {
    s.cap--;
    if (s.left && --s.left == 0) s.want = 0;
    if (!s.left) s.spread = s.cap;
    sequence();
  }
  if (!s.cap) {
    if (s.closed) s.since = 0;
    s.closed = 0;
    s.want = 0;
  }
  hal_switches(s.closed);
  count_heat();
}

uint16_t lease_grant(uint32_t issued_ms, uint16_t duration_ms, uint8_t switches) {
  uint8_t lock = hal_lock();
  uint32_t age = hal_now_ms() - issued_ms;
  uint16_t left = 0;
  if (age < duration_ms && duration_ms <= LEASE_MAX_MS) {
    left = (uint16_t)(duration_ms - age);
    s.left = left;
    s.cap = (uint16_t)(LEASE_MAX_MS - age);
    s.spread = s.cap - left;
    s.want = switches;
  }
  hal_unlock(lock);
  return left;
}

void lease_release(void) {
  uint8_t lock = hal_lock();
  s.left = 0;
  s.want = 0;
  s.spread = s.cap;
  hal_unlock(lock);
}

void lease_open_all(void) {
  uint8_t lock = hal_lock();
  forget();
  if (s.closed) s.since = 0;
  s.closed = 0;
  s.fault = false;
  hal_switches(0);
  hal_unlock(lock);
}

lease_view_t lease_view(void) {
  uint8_t lock = hal_lock();
  lease_view_t view = {s.left, s.left ? s.want : 0, s.closed, s.heat_s, s.off_ms >= HEAT_REST_MS, s.fault};
  hal_unlock(lock);
  return view;
}

#include "level.h"

#include "config.h"

static bool present;
static bool now_closed;
static uint32_t agreed_ms; /* when the contact last agreed with the debounced state */

void level_init(void) {
  present = false;
  now_closed = false;
  agreed_ms = 0;
}

void level_poll(bool closed, uint32_t now_ms) {
  now_closed = closed;
  if (closed == present) agreed_ms = now_ms;
  if (now_ms - agreed_ms >= LEVEL_DEBOUNCE_MS) {
    present = closed;
    agreed_ms = now_ms;
  }
}

bool level_low(void) { return !present; }

uint8_t level_byte(void) { return (uint8_t)((present ? 1 : 0) | (now_closed ? 2 : 0)); }

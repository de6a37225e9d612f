#include "bath.h"

#include "config.h"

static int16_t last_raw;
static uint32_t last_ms;
static bool over;
static uint8_t above;
static uint8_t silent_count;
static uint8_t wrong_count;

void bath_forget(void) {
  last_raw = NO_RAW;
  over = false;
  above = 0;
  silent_count = 0;
  wrong_count = 0;
}

uint8_t bath_good(int16_t raw, int16_t max_raw, uint32_t now_ms) {
  last_raw = raw;
  last_ms = now_ms;
  silent_count = 0;
  wrong_count = 0;
  if (raw > max_raw) {
    over = true;
    if (above < 2) above++;
    return above;
  }
  above = 0;
  if (raw <= max_raw - OVER_HYSTERESIS_RAW) over = false;
  return 0;
}

void bath_bad(bool silent) {
  uint8_t *count = silent ? &silent_count : &wrong_count;
  if (*count != 0xFF) ++*count;
}

uint16_t bath_age(uint32_t now_ms) {
  if (last_raw == NO_RAW) return NO_AGE;
  uint32_t age = now_ms - last_ms;
  if (age < NO_AGE) return (uint16_t)age;
  last_raw = NO_RAW; /* never comes back young when the clock wraps */
  return NO_AGE;
}

int16_t bath_raw(void) { return last_raw; }

bool bath_over(void) { return over; }

bool bath_mostly_silent(void) { return silent_count >= wrong_count; }

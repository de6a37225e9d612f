#include "sounder.h"

#include "hal.h"

#define BEEP_MS 150u
#define BEEP_EVERY_MS 300u

static uint8_t asked;
static uint32_t asked_until;
static bool hushed;
static uint32_t hushed_until;
static uint8_t sounding;
static uint32_t began_ms;
static bool tone;

void sounder_init(void) {
  asked = SOUND_NONE;
  hushed = false;
  sounding = SOUND_NONE;
  tone = false;
  hal_tone(false);
}

bool sounder_ask(uint8_t pattern, uint16_t seconds, uint32_t now_ms) {
  if (pattern > SOUND_EMERGENCY || seconds > SOUND_MAX_S || (pattern && !seconds)) return false;
  asked = pattern;
  asked_until = now_ms + seconds * 1000ul;
  if (pattern == SOUND_NONE) {
    hushed = seconds != 0;
    hushed_until = asked_until;
  }
  return true;
}

void sounder_unhush(void) { hushed = false; }

/* So many beeps at the start of each period. */
static bool beeping(uint8_t pattern, uint32_t since_ms) {
  static const uint16_t periods[] = {1, 8000, 4000, 2500};
  static const uint8_t beeps[] = {0, 1, 2, 5};
  uint16_t at = (uint16_t)(since_ms % periods[pattern]);
  return at < beeps[pattern] * BEEP_EVERY_MS && at % BEEP_EVERY_MS < BEEP_MS;
}

void sounder_poll(uint8_t own, uint32_t now_ms) {
  if (asked && (int32_t)(now_ms - asked_until) >= 0) asked = SOUND_NONE;
  if (hushed && (int32_t)(now_ms - hushed_until) >= 0) hushed = false;
  uint8_t wanted = hushed || own < asked ? asked : own;
  if (wanted != sounding) {
    sounding = wanted;
    began_ms = now_ms;
  }
  bool on = sounding && beeping(sounding, now_ms - began_ms);
  if (on != tone) hal_tone(on);
  tone = on;
}

uint8_t sounder_pattern(void) { return sounding; }

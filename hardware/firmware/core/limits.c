#include "limits.h"

#include "bytes.h"
#include "config.h"
#include "crc.h"
#include "nonce.h"

static limits_t in_force;
static bool any;
static uint16_t session;
static uint16_t sum;

uint8_t limits_judge(const uint8_t *sent) {
  uint8_t outside = 0;
  int16_t max_raw = (int16_t)get16(sent + 8);
  uint16_t max_heat_s = get16(sent + 10);
  uint16_t silence_ms = get16(sent + 12);
  if (sent[0] != FAMILY_DS18B20 || crc8(sent, 7) != sent[7]) outside |= OUTSIDE_ROM;
  if (max_raw < FLOOR_MAX_RAW || max_raw > CEILING_MAX_RAW) outside |= OUTSIDE_MAX_RAW;
  if (max_heat_s < FLOOR_MAX_HEAT_S || max_heat_s > CEILING_MAX_HEAT_S) outside |= OUTSIDE_MAX_HEAT;
  if (silence_ms < FLOOR_SILENCE_MS || silence_ms > CEILING_SILENCE_MS) outside |= OUTSIDE_SILENCE;
  return outside;
}

void limits_set(const uint8_t *sent) {
  for (uint8_t i = 0; i < 8; i++) in_force.rom[i] = sent[i];
  in_force.max_raw = (int16_t)get16(sent + 8);
  in_force.max_heat_s = get16(sent + 10);
  in_force.silence_ms = get16(sent + 12);
  sum = crc16(sent, LIMITS_BYTES);
  any = true;
  session = 0;
}

void limits_forget(void) {
  any = false;
  session = 0;
  sum = 0;
}

bool limits_any(void) { return any; }

/* Kept as sent, byte for byte (the chip is little-endian and packs nothing), so the CRC that came with them still holds. */
bool limits_intact(void) {
  return !any || crc16((const uint8_t *)&in_force, LIMITS_BYTES) == sum;
}

const limits_t *limits(void) { return &in_force; }

uint16_t limits_crc(void) { return sum; }

uint16_t limits_read_back(void) {
  if (any && !session) session = nonce_token();
  return session;
}

uint16_t limits_session(void) { return session; }

/* The limits in force, and the session that proves the host has read them back. */
#ifndef LIMITS_H
#define LIMITS_H

#include <stdbool.h>
#include <stdint.h>

#define LIMITS_BYTES 14

typedef struct {
  uint8_t rom[8];
  int16_t max_raw;
  uint16_t max_heat_s;
  uint16_t silence_ms;
} limits_t;

#define OUTSIDE_MAX_RAW 1
#define OUTSIDE_MAX_HEAT 2
#define OUTSIDE_SILENCE 4
#define OUTSIDE_ROM 8

/* Judge limits as sent (14 bytes): 0, or the OUTSIDE_ bits of what is not allowed. */
uint8_t limits_judge(const uint8_t *sent);
/* Put limits in force (judged before). They still have to be read back. */
void limits_set(const uint8_t *sent);
/* Nothing in force, no session. */
void limits_forget(void);
bool limits_any(void);
const limits_t *limits(void);
/* CRC-16 of the limits in force as they were sent; 0 = none. */
uint16_t limits_crc(void);
/* False when memory no longer holds what was sent: a bit has flipped. */
bool limits_intact(void);
/* The host reads back: draws the session token if limits are set. Gives the token, 0 = none. */
uint16_t limits_read_back(void);
/* The token of the session, 0 = none. */
uint16_t limits_session(void);

#endif

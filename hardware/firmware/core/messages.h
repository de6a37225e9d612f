/* Our own messages: what came in is carried out and answered; what the board has to tell is sent. */
#ifndef MESSAGES_H
#define MESSAGES_H

#include <stdbool.h>
#include <stdint.h>

#define ID_STATUS 0x01
#define ID_PROBE 0x02
#define ID_READ_BACK 0x03
#define ID_ANSWER 0x04
#define ID_LEASE 0x08
#define ID_LIMITS 0x09
#define ID_LIMITS_QUERY 0x0A
#define ID_CLEAR 0x0B
#define ID_SOUNDER 0x0C
#define ID_TRIP 0x0D
#define ID_RELEASE 0x0E
#define ID_LAST 0x0F

typedef enum {
  CODE_OK = 0,
  CODE_BAD_CRC = 1,
  CODE_BAD_LENGTH = 2,
  CODE_UNKNOWN_ID = 3,
  CODE_NO_SESSION = 4,
  CODE_NONCE_UNKNOWN = 5,
  CODE_NONCE_STALE = 6,
  CODE_NONCE_SPENT = 7,
  CODE_BAD_DURATION = 8,
  CODE_BAD_SWITCHES = 9,
  CODE_LATCHED = 10,
  CODE_CONDITION = 11,
  CODE_OUTSIDE_CEILING = 12,
  CODE_BAD_ROM = 13,
  CODE_NOT_LATCHED = 14,
  CODE_WRONG_CAUSE = 15,
  CODE_BAD_ARGUMENT = 16,
  CODE_BUSY = 17
} code_t;

typedef struct {
  uint8_t code;
  uint16_t detail;
} answer_t;

void messages_init(void);
/* A frame of ours: its id, and what stood between id and F7 (overwritten). */
void messages_take(uint8_t id, uint8_t *packed, uint8_t count);
/* Answer a clear once EEPROM has it; called often. */
void messages_poll(void);
/* Send one probe reading. */
void messages_probe(uint8_t index, uint8_t flags, const uint8_t *rom, const uint8_t *scratchpad);
/* For the status. */
uint8_t messages_last_refusal(void);
uint16_t messages_refused(void);

#endif

/* The trip that stays: first cause, in EEPROM, through every kind of reset, until a person clears it. */
#ifndef LATCH_H
#define LATCH_H

#include <stdbool.h>
#include <stdint.h>

typedef enum {
  CAUSE_NONE = 0,
  CAUSE_OVER_TEMPERATURE = 1,
  CAUSE_PROBE_SILENT = 2,
  CAUSE_PROBE_FAILING = 3,
  CAUSE_LEVEL_LOW = 4,
  CAUSE_HEAT_TOO_LONG = 5,
  CAUSE_LINK_CORRUPT = 6,
  CAUSE_HOST = 7,
  CAUSE_SWITCH_STUCK = 8,
  CAUSE_MEMORY = 9,
  CAUSE_TORN = 10
} cause_t;

/* Read EEPROM and keepsake. Draws the board's key at the first start of its life. */
void latch_init(void);
/* Latch unless something is latched already. */
void latch_set(uint8_t cause, uint16_t detail);
/* Begin to clear; latch_clearing is true until the EEPROM has it. False while an earlier change is being written. */
bool latch_clear(void);
bool latch_clearing(void);
uint8_t latch_cause(void);
uint16_t latch_detail(void);
/* Write what is to be written, step by step. */
void latch_poll(void);
/* EEPROM would not keep the latch. */
bool latch_fault(void);

/* Resets of this board's life, this one included; valid once latch_booted. */
uint32_t latch_boot_count(void);
uint32_t latch_key(void);
/* True once this reset's count is safely stored: only then may nonces be issued. */
bool latch_booted(void);
/* Count one more, as after a reset. */
void latch_count_boot(void);

#endif

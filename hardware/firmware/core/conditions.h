/* Is it safe to heat? What blocks a lease, and what trips. */
#ifndef CONDITIONS_H
#define CONDITIONS_H

#include <stdbool.h>
#include <stdint.h>

#define BLOCK_NO_SESSION 0x0001
#define BLOCK_LATCHED 0x0002
#define BLOCK_OVER_TEMPERATURE 0x0004
#define BLOCK_PROBE_STALE 0x0008
#define BLOCK_LEVEL_LOW 0x0010
#define BLOCK_SWITCH_STUCK 0x0020
#define BLOCK_EEPROM 0x0040
#define BLOCK_HEAT_TOO_LONG 0x0080
#define BLOCK_LINK_CORRUPT 0x0100
/* Conditions of the rig: while any stands, nothing can be cleared. (Not the EEPROM: clearing tries it again.) */
#define BLOCKS_RIG 0x01BC

/* Open both switches at once and latch the cause. */
void trip(uint8_t cause, uint16_t detail);

void conditions_init(void);
/* Watch everything; called every few milliseconds. */
void conditions_poll(uint32_t now_ms);
/* A good reading of the bath probe, to be held against the hard limit. */
void conditions_bath_good(int16_t raw, uint32_t now_ms);
/* All BLOCK_ bits that stand now. */
uint16_t conditions_blocks(uint32_t now_ms);

#endif

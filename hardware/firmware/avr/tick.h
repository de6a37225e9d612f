#ifndef TICK_H
#define TICK_H

#include <stdint.h>

/* Start the millisecond timer (interrupts still off). */
void tick_start(void);

/* Milliseconds, the low byte alone: read in one instruction. */
extern volatile uint8_t tick_low;

#endif

/* The firmware's own second on the 1-Wire bus: convert all, read each, one pass of the search. */
#ifndef CYCLE_H
#define CYCLE_H

#include <stdbool.h>
#include <stdint.h>

void cycle_init(void);
/* Move on when the bus is free; never waits. */
void cycle_poll(uint32_t now_ms);
/* Leave the bus to a plain reader for a while. */
void cycle_pause(uint32_t now_ms);
/* The cycle does not need the bus just now. */
bool cycle_idle(void);
uint16_t cycle_conversion(void);

#endif

/* The level switch, debounced: a wave must not trip, and until it has been closed for 1 s there is no water. */
#ifndef LEVEL_H
#define LEVEL_H

#include <stdbool.h>
#include <stdint.h>

void level_init(void);
void level_poll(bool closed, uint32_t now_ms);
bool level_low(void);
/* Level byte of the status: bit 0 water present (debounced), bit 1 closed now. */
uint8_t level_byte(void);

#endif

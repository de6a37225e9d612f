/* Firmata's 1-Wire messages, for a host that uses the board as a plain reader. */
#ifndef ONEWIRE_REQUESTS_H
#define ONEWIRE_REQUESTS_H

#include <stdint.h>

void requests_init(void);
/* Queue one request: the content of its system-exclusive message. */
void requests_take(uint8_t *data, uint8_t count);
/* Carry out what is queued, when the bus is free. */
void requests_poll(uint32_t now_ms);

#endif

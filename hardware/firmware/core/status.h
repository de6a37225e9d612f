/* The status message: four times a second, and on change. */
#ifndef STATUS_H
#define STATUS_H

#include <stdint.h>

void status_init(void);
void status_poll(uint32_t now_ms);

#endif

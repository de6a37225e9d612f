/* Everything portable, started once and polled for ever by the edge. */
#ifndef BOARD_H
#define BOARD_H

#include <stdbool.h>
#include <stdint.h>

void board_init(void);
/* Work on the bus is waiting: come back at once rather than sleep. */
bool board_busy(void);
/* One byte from the host. */
void board_byte(uint8_t byte);
/* The next small piece of 1-Wire work, if there is any. */
void board_bus(void);
/* Everything else; every BOARD_POLL_MS, as near as the loop can. */
void board_poll(void);

#define BOARD_POLL_MS 4

#endif

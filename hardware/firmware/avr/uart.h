/* UART 0, 57600 baud 8N1, interrupt driven both ways. */
#ifndef UART_H
#define UART_H

#include <stdbool.h>
#include <stdint.h>

void uart_start(void);
/* Take one received byte; false when there is none. */
bool uart_receive(uint8_t *byte);
/* Is one waiting? */
bool uart_waiting(void);

#endif

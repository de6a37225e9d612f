/* The pins a host may use. A switch pin is not among them, whatever it asks. */
#ifndef PINS_H
#define PINS_H

#include <stdbool.h>
#include <stdint.h>

#define PINS 20
#define PORTS 3
#define FIRST_ANALOG 14
#define ANALOG_CHANNELS 6
#define PIN_ONE_WIRE 2

/* Firmata's pin modes. */
#define MODE_INPUT 0x00
#define MODE_OUTPUT 0x01
#define MODE_ANALOG 0x02
#define MODE_ONE_WIRE 0x07
#define MODE_PULLUP 0x0B
#define MODE_IGNORE 0x7F

void pins_init(void);
/* May this pin be put in that mode? */
bool pin_allows(uint8_t pin, uint8_t mode);
/* Ask for a mode; ignored where not allowed. */
void pin_set_mode(uint8_t pin, uint8_t mode);
uint8_t pin_mode(uint8_t pin);
/* Level last written, or 1 for a pull-up; for the pin state message. */
uint8_t pin_state(uint8_t pin);
/* Write a level; ignored unless the pin is a free output. */
void pin_write(uint8_t pin, uint8_t level);
/* Levels of a port's pins that are inputs; the others read 0. */
uint8_t port_inputs(uint8_t port);

#endif

/* Free pins by Firmata number, the level switch, and the analog converter. */
#include <avr/io.h>

#include "hal.h"
#include "pinout.h"

typedef struct {
  volatile uint8_t *port;
  volatile uint8_t *direction;
  uint8_t mask;
} place_t;

static place_t place_of(uint8_t pin) {
  if (pin < 8) return (place_t){&PORTD, &DDRD, (uint8_t)(1 << pin)};
  if (pin < 14) return (place_t){&PORTB, &DDRB, (uint8_t)(1 << (pin - 8))};
  return (place_t){&PORTC, &DDRC, (uint8_t)(1 << (pin - 14))};
}

/* The last word on what a host may never move, whatever the tables above it say. */
static bool reserved(uint8_t pin) {
  return pin == 0 || pin == 1 || pin == 2 || pin == 4 || pin == 7 || pin == 8 || pin == 9 || pin == 13 || pin > 19;
}

/* The ports are shared with the timer interrupt, so a change of one bit must not be torn. */
static void change(volatile uint8_t *at, uint8_t mask, bool set) {
  uint8_t lock = hal_lock();
  if (set) {
    *at |= mask;
  } else {
    *at &= (uint8_t)~mask;
  }
  hal_unlock(lock);
}

void hal_pin_mode(uint8_t pin, uint8_t mode) {
  if (reserved(pin)) return;
  place_t place = place_of(pin);
  change(place.port, place.mask, mode == PIN_PULLUP);
  change(place.direction, place.mask, mode == PIN_OUTPUT);
}

void hal_pin_write(uint8_t pin, uint8_t level) {
  if (reserved(pin)) return;
  place_t place = place_of(pin);
  change(place.port, place.mask, level);
}

uint8_t hal_port_read(uint8_t port) {
  if (port == 0) return PIND;
  if (port == 1) return (uint8_t)((PINB & 0x3F) | PINC << 6);
  return (uint8_t)((PINC >> 2) & 0x0F);
}

bool hal_level_closed(void) {
  /* Set anew each time: an output here could feign water. */
  DDRD &= (uint8_t) ~(1 << LEVEL_BIT);
  PORTD |= 1 << LEVEL_BIT;
  return !(PIND & (1 << LEVEL_BIT));
}

void hal_adc_start(uint8_t channel) {
  ADMUX = (uint8_t)(1 << REFS0 | channel);
  ADCSRA = 1 << ADEN | 1 << ADSC | 7; /* 16 MHz / 128 */
}

bool hal_adc_done(uint16_t *value) {
  if (ADCSRA & (1 << ADSC)) return false;
  *value = ADC;
  return true;
}

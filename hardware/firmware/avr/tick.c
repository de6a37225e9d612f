/* The millisecond: timer 0 at 1 kHz counts time and leases. */
#include <avr/interrupt.h>
#include <avr/io.h>

#include "config.h"
#include "hal.h"
#include "lease.h"
#include "pinout.h"
#include "tick.h"

static volatile uint32_t now_ms;
volatile uint8_t tick_low;

void tick_start(void) {
  now_ms = 0;
  TCCR0A = 1 << WGM01;
  OCR0A = F_CPU / 64 / 1000 - 1;
  TCNT0 = 0;
  TIMSK0 = 1 << OCIE0A;
  TCCR0B = 1 << CS01 | 1 << CS00;
}

ISR(TIMER0_COMPA_vect) {
  now_ms++;
  tick_low++;
  lease_tick();
}

uint8_t hal_lock(void) {
  uint8_t state = SREG;
  cli();
  return state;
}

void hal_unlock(uint8_t state) { SREG = state; }

uint32_t hal_now_ms(void) {
  uint8_t lock = hal_lock();
  uint32_t now = now_ms;
  hal_unlock(lock);
  return now;
}

/* Single-bit instructions, and the direction is set anew each time: a flipped bit lasts a millisecond. */
void hal_switches(uint8_t closed) {
  if (closed & SWITCH_REGULATING) {
    PORTD |= 1 << REGULATING_BIT;
  } else {
    PORTD &= (uint8_t) ~(1 << REGULATING_BIT);
  }
  if (closed & SWITCH_GUARD) {
    PORTB |= 1 << GUARD_BIT;
  } else {
    PORTB &= (uint8_t) ~(1 << GUARD_BIT);
  }
  DDRD |= 1 << REGULATING_BIT;
  DDRB |= 1 << GUARD_BIT;
}

uint8_t hal_switches_measured(void) {
  uint8_t high = 0;
  if (PIND & (1 << REGULATING_BIT)) high |= SWITCH_REGULATING;
  if (PINB & (1 << GUARD_BIT)) high |= SWITCH_GUARD;
  return high;
}

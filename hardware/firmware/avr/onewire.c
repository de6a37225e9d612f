/* 1-Wire slots on D2 (DS18B20 data sheet, "1-Wire signaling"). Interrupts are held off for at most 16 us. */
#include <avr/io.h>
#include <util/delay.h>

#include "hal.h"
#include "pinout.h"

static inline void pull_low(void) {
  PORTD &= (uint8_t) ~(1 << WIRE_BIT);
  DDRD |= 1 << WIRE_BIT;
}

static inline void let_go(void) { DDRD &= (uint8_t) ~(1 << WIRE_BIT); }

static inline uint8_t is_high(void) { return PIND & (1 << WIRE_BIT); }

uint8_t hal_ow_reset(void) {
  uint8_t present = 0;
  let_go();
  _delay_us(5);
  if (!is_high()) return OW_SHORTED;
  pull_low();
  _delay_us(480);
  let_go();
  _delay_us(10);
  /* The answer lasts 60 us at least: looking every 5 us cannot miss it, even past an interrupt. */
  for (uint8_t i = 0; i < 60; i++) {
    if (!is_high()) present = 1;
    _delay_us(5);
  }
  _delay_us(150);
  if (!is_high()) return OW_SHORTED;
  return present ? OW_PRESENT : OW_NONE;
}

void hal_ow_write_bit(uint8_t bit) {
  if (bit) {
    uint8_t lock = hal_lock();
    pull_low();
    _delay_us(5);
    let_go();
    hal_unlock(lock);
    _delay_us(60);
  } else {
    pull_low();
    _delay_us(62); /* 120 us at most, with whatever interrupts fall into it */
    let_go();
    _delay_us(5);
  }
}

uint8_t hal_ow_read_bit(void) {
  uint8_t lock = hal_lock();
  pull_low();
  _delay_us(3);
  let_go();
  _delay_us(9);
  uint8_t bit = is_high() ? 1 : 0;
  hal_unlock(lock);
  _delay_us(53);
  return bit;
}

/* EEPROM a byte at a time, without ever waiting for a write to end. */
#include <avr/io.h>

#include "hal.h"

bool hal_eeprom_ready(void) { return !(EECR & (1 << EEPE)); }

uint8_t hal_eeprom_read(uint16_t address) {
  while (!hal_eeprom_ready()) {
    /* Only at start: a reset does not stop a write under way (3.4 ms). */
  }
  EEAR = address;
  EECR |= 1 << EERE;
  return EEDR;
}

void hal_eeprom_write(uint16_t address, uint8_t value) {
  uint8_t lock = hal_lock();
  EEAR = address;
  EEDR = value;
  EECR = 1 << EEMPE; /* erase and write in one; the next instruction must follow within four cycles */
  EECR |= 1 << EEPE;
  hal_unlock(lock);
}

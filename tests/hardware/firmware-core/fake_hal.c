#include "fake_hal.h"

#include "hal.h"

uint32_t fake_now;
uint8_t fake_switches;
uint8_t fake_eeprom[1024];
uint32_t fake_writes[1024];
uint32_t fake_cut_in;
int fake_powered = 1;
int fake_worn = -1;
uint8_t fake_keepsake[8];

uint32_t hal_now_ms(void) { return fake_now; }
uint8_t hal_lock(void) { return 0; }
void hal_unlock(uint8_t state) { (void)state; }
void hal_switches(uint8_t closed) { fake_switches = closed; }
uint8_t hal_switches_measured(void) { return fake_switches; }
bool hal_level_closed(void) { return true; }
uint8_t hal_eeprom_read(uint16_t address) { return fake_eeprom[address]; }
bool hal_eeprom_ready(void) { return fake_powered; }

void hal_eeprom_write(uint16_t address, uint8_t value) {
  fake_writes[address]++;
  if (address == fake_worn) return;
  if (fake_cut_in && --fake_cut_in == 0) {
    /* Cut off in the middle of erase and write: the cell holds anything. */
    fake_eeprom[address] = (uint8_t)rand();
    fake_powered = 0;
    return;
  }
  fake_eeprom[address] = value;
}

uint32_t hal_noise(void) { return 0x1234ABCDul; }
uint8_t *hal_keepsake(void) { return fake_keepsake; }

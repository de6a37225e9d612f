/* 32 bits for the key, drawn once in the board's life. */
#include <avr/io.h>

#include "hal.h"

#define SAMPLES 64

extern uint8_t __heap_start;

/* Low bits of open analog inputs, and whatever memory held at power-on, stirred together. */
uint32_t hal_noise(void) {
  uint32_t pool = 0x9E3779B9ul;
  /* From the end of the variables to the top: what start-up has not cleared. */
  const volatile uint8_t *memory = (const volatile uint8_t *)&__heap_start;
  for (uint8_t i = 0; i < SAMPLES; i++) {
    uint16_t value = 0;
    hal_adc_start(i % 6);
    for (uint16_t wait = 0; wait < 2000 && !hal_adc_done(&value); wait++) {
    }
    for (uint8_t j = 0; j < 8 && memory <= (const volatile uint8_t *)RAMEND; j++, memory++) {
      pool = (pool ^ *memory) * 16777619ul;
    }
    pool = (pool ^ value ^ TCNT0) * 16777619ul;
    pool ^= pool >> 15;
  }
  return pool;
}

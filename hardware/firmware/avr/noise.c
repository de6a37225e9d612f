/* 32 bits for the key, drawn once in the board's life. */
#include <avr/io.h>

#include "hal.h"

#define SAMPLES 64

/* Low bits of open analog inputs, and whatever memory held at power-on, stirred together. */
uint32_t hal_noise(void) {
  uint32_t pool = 0x9E3779B9ul;
  const volatile uint8_t *memory = (const volatile uint8_t *)RAMSTART;
  for (uint8_t i = 0; i < SAMPLES; i++) {
    uint16_t value = 0;
    hal_adc_start(i % 6);
    for (uint16_t wait = 0; wait < 2000 && !hal_adc_done(&value); wait++) {
    }
    for (uint8_t j = 0; j < 16; j++) pool = (pool ^ memory[0x500 + i * 8 + j]) * 16777619ul;
    pool = (pool ^ value ^ TCNT0) * 16777619ul;
    pool ^= pool >> 15;
  }
  return pool;
}

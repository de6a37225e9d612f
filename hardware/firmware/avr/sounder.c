/* The piezo on D9, driven by timer 1 without the processor; and the activity LED. */
#include <avr/io.h>

#include "hal.h"
#include "pinout.h"

#define TONE_HZ 2900ul

void hal_tone(bool on) {
  PORTB &= (uint8_t) ~(1 << SOUNDER_BIT);
  DDRB |= 1 << SOUNDER_BIT;
  TCCR1B = 0;
  TCCR1A = 0;
  if (!on) return;
  OCR1A = (uint16_t)(F_CPU / 8 / TONE_HZ / 2 - 1);
  TCNT1 = 0;
  TCCR1A = 1 << COM1A0; /* toggle D9 at each match */
  TCCR1B = 1 << WGM12 | 1 << CS11;
}

void hal_led(bool on) {
  DDRB |= 1 << LED_BIT;
  if (on) {
    PORTB |= 1 << LED_BIT;
  } else {
    PORTB &= (uint8_t) ~(1 << LED_BIT);
  }
}

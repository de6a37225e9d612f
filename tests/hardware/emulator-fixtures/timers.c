/*
 * Three timers that move pins in different modes, to compare two emulations of them edge by edge.
 * Build: avr-gcc -mmcu=atmega328p -DF_CPU=16000000UL -Os -o t.elf timers.c && avr-objcopy -O ihex -R .eeprom t.elf timers.hex
 */
#include <avr/interrupt.h>
#include <avr/io.h>

static volatile uint8_t changes;

ISR(TIMER0_OVF_vect) { PIND = _BV(3); }                     /* toggles D3 */
ISR(TIMER0_COMPB_vect) { PIND = _BV(5); OCR0B += 37; }      /* toggles D5 at moving places */
ISR(TIMER2_COMPA_vect) {
  PIND = _BV(6);
  if (++changes == 20) { OCR1A = 900; TCCR2B = _BV(CS21); } /* another pitch, another prescaler */
  if (changes == 90) TCNT2 = 100;
  if (changes == 120) { TCCR1A = _BV(COM1A1) | _BV(WGM11); TCCR1B = _BV(WGM13) | _BV(WGM12) | _BV(CS11); ICR1 = 4000; OCR1A = 1000; }
}

int main(void) {
  DDRB = 0xff;
  DDRD = 0xfc;
  TCCR0B = _BV(CS01);
  OCR0B = 10;
  TIMSK0 = _BV(TOIE0) | _BV(OCIE0B);
  TCCR1A = _BV(COM1A0);
  OCR1A = 2758;
  TCCR1B = _BV(WGM12) | _BV(CS10); /* 2.9 kHz on D9 */
  TCCR2A = _BV(WGM21);
  OCR2A = 124;
  TCCR2B = _BV(CS22);
  TIMSK2 = _BV(OCIE2A);
  sei();
  for (;;) PORTB = (PORTB & ~_BV(3)) | ((TCNT1 & 0x40) ? _BV(3) : 0); /* reads a running timer */
}

/*
 * A program that exercises the emulator, one command byte at a time over the serial port (57600 8N1).
 * Build: avr-gcc -mmcu=atmega328p -DF_CPU=16000000UL -Os -o x.elf exerciser.c && avr-objcopy -O ihex -R .eeprom x.elf exerciser.hex
 */
#include <avr/interrupt.h>
#include <avr/io.h>
#include <avr/sleep.h>
#include <avr/wdt.h>
#include <util/delay.h>

static uint8_t atStart[10] __attribute__((section(".noinit")));
static uint8_t keptInRam[4] __attribute__((section(".noinit")));
static volatile uint8_t queue[64];
static volatile uint8_t head, tail;
static volatile uint16_t ticks;

/* Before anything else: what the reset left in registers. */
void early(void) __attribute__((naked, used, section(".init3")));
void early(void) {
  atStart[0] = MCUSR;
  atStart[1] = DDRB | DDRC | DDRD;
  atStart[2] = PORTB | PORTC | PORTD;
  atStart[3] = TCCR1A | TCCR1B | TCCR0B | TCCR2B;
  atStart[4] = TIMSK0 | TIMSK1 | TIMSK2;
  atStart[5] = UCSR0B | UBRR0L;
  atStart[6] = WDTCSR;
  atStart[7] = ADCSRA | ADMUX;
  atStart[8] = EECR;
  atStart[9] = SMCR;
}

ISR(USART_RX_vect) { queue[head++ % 64] = UDR0; }
ISR(TIMER0_COMPA_vect) { ticks++; }

static void send(uint8_t byte) {
  while (!(UCSR0A & _BV(UDRE0))) {}
  UDR0 = byte;
}

static uint8_t receive(void) {
  for (;;) {
    cli();
    if (head != tail) {
      uint8_t byte = queue[tail++ % 64];
      sei();
      return byte;
    }
    sleep_enable();
    sei();
    sleep_cpu();
    sleep_disable();
  }
}

static void dirty(void) {
  DDRB = DDRC = 0xff;
  DDRD = 0xfc;
  PORTB = PORTC = PORTD = 0xff;
  TCCR1A = _BV(COM1A0);
  OCR1A = 2758;
  TCCR1B = _BV(WGM12) | _BV(CS10);
  TCCR2B = 7;
  TIMSK1 = _BV(OCIE1B);
  ADMUX = _BV(REFS0);
  ADCSRA = _BV(ADEN) | 7;
}
ISR(TIMER1_COMPB_vect) {}

static void writeEeprom(uint16_t address, uint8_t value) {
  while (EECR & _BV(EEPE)) {}
  EEAR = address;
  EEDR = value;
  cli();
  EECR |= _BV(EEMPE);
  EECR |= _BV(EEPE);
  sei();
}

static uint8_t readEeprom(uint16_t address) {
  while (EECR & _BV(EEPE)) {}
  EEAR = address;
  EECR |= _BV(EERE);
  return EEDR;
}

static uint16_t readAnalog(uint8_t channel) {
  ADMUX = _BV(REFS0) | channel;
  ADCSRA = _BV(ADEN) | _BV(ADSC) | 7;
  while (ADCSRA & _BV(ADSC)) {}
  return ADC;
}

int main(void) {
  MCUSR = 0;
  wdt_disable();
  UBRR0 = 16;
  UCSR0B = _BV(RXEN0) | _BV(TXEN0) | _BV(RXCIE0);
  TCCR0A = _BV(WGM01);
  OCR0A = 249;
  TCCR0B = _BV(CS01) | _BV(CS00); /* 1 kHz */
  TIMSK0 = _BV(OCIE0A);
  sei();
  send('!');
  for (;;) {
    uint8_t command = receive(), i;
    switch (command) {
    case 'S': for (i = 0; i < 10; i++) send(atStart[i]); break;
    case 'D': dirty(); break;
    case 'H': PORTD |= _BV(7); DDRD |= _BV(7); PORTB |= 1; DDRB |= 1; break;
    case 'L': PORTD &= ~_BV(7); break;
    case 'W': wdt_enable(WDTO_250MS); break;         /* on, fed by no one */
    case 'X': wdt_disable(); break;
    case 'h': wdt_enable(WDTO_250MS); cli(); for (;;) {} /* hang with interrupts off */
    case 'i': WDTCSR |= _BV(WDCE) | _BV(WDE); WDTCSR = _BV(WDIE) | _BV(WDE) | _BV(WDP2); break;
    case 'E': { uint8_t at = receive(); writeEeprom(at, receive()); break; }
    case 'e': send(readEeprom(receive())); break;
    case 'K': for (i = 0; i < 4; i++) keptInRam[i] = receive(); break;
    case 'k': for (i = 0; i < 4; i++) send(keptInRam[i]); break;
    case 'T': { uint16_t now; cli(); now = ticks; sei(); send(now & 0xff); send(now >> 8); break; }
    case 'U': { /* let the receiver overrun: 10 ms without reading */
      uint8_t got = 0, status, seen[8];
      cli();
      _delay_ms(10);
      status = UCSR0A;
      while ((UCSR0A & _BV(RXC0)) && got < 8) seen[got++] = UDR0;
      sei();
      send(status & _BV(DOR0)); send(got);
      for (i = 0; i < got; i++) send(seen[i]);
      break;
    }
    case 'A': { uint16_t value = readAnalog(receive()); send(value & 0xff); send(value >> 8); break; }
    case 'P': send(PIND); send(PINB); break;
    default: send(command + 1);
    }
  }
}

ISR(WDT_vect) { send('w'); }

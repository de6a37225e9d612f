/* The first instructions that are ours: switch pins low, then the watchdog, then why we were reset. */
#include <avr/interrupt.h>
#include <avr/io.h>
#include <stdint.h>

#include "hal.h"
#include "pinout.h"

#define NOINIT __attribute__((section(".noinit")))
#define KEPT __attribute__((used, externally_visible)) /* named only in assembly */

uint8_t early_mcusr KEPT NOINIT;
uint8_t early_r2 KEPT NOINIT;
static uint8_t keepsake[KEEPSAKE_BYTES] NOINIT;

/* .init0 runs straight from the reset vector: no stack, no zero register yet, so single instructions only. */
__attribute__((naked, used, section(".init0"))) void early_switches_low(void) {
  __asm__ __volatile__(
      "cbi %[portd], %[regulating]\n\t"
      "sbi %[ddrd], %[regulating]\n\t"
      "cbi %[portb], %[guard]\n\t"
      "sbi %[ddrb], %[guard]\n\t"
      "sts early_r2, r2\n\t"
      "in r24, %[mcusr]\n\t"
      "sts early_mcusr, r24\n\t"
      :
      : [portd] "I"(_SFR_IO_ADDR(PORTD)), [ddrd] "I"(_SFR_IO_ADDR(DDRD)), [portb] "I"(_SFR_IO_ADDR(PORTB)),
        [ddrb] "I"(_SFR_IO_ADDR(DDRB)), [mcusr] "I"(_SFR_IO_ADDR(MCUSR)), [regulating] "I"(REGULATING_BIT),
        [guard] "I"(GUARD_BIT));
}

/* .init3: the stack is there. After a watchdog reset it runs on at 16 ms until told otherwise. */
__attribute__((naked, used, section(".init3"))) void early_watchdog(void) {
  __asm__ __volatile__(
      "wdr\n\t"
      "out %[mcusr], __zero_reg__\n\t"
      "ldi r24, %[change]\n\t"
      "ldi r25, %[run]\n\t"
      "sts %[wdtcsr], r24\n\t"
      "sts %[wdtcsr], r25\n\t"
      :
      : [mcusr] "I"(_SFR_IO_ADDR(MCUSR)), [wdtcsr] "n"(_SFR_MEM_ADDR(WDTCSR)), [change] "M"(1 << WDCE | 1 << WDE),
        [run] "M"(1 << WDE | 1 << WDP2)
      : "r24", "r25");
}

uint8_t hal_reset_cause(void) {
  if (early_mcusr) return early_mcusr & 0x0F;
  /* A bootloader has read and cleared the register; the usual ones hand it on in r2. */
  return early_r2 && early_r2 < 0x10 ? early_r2 | 0x80 : 0;
}

uint8_t *hal_keepsake(void) { return keepsake; }

/* An interrupt nobody asked for: something is wrong with the chip. Open, and let the watchdog reset it. */
ISR(BADISR_vect) {
  hal_switches(0);
  for (;;) {
  }
}

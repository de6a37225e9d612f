/* Start everything, then go round for ever: bytes, bus, the millisecond's work, sleep. */
#include <avr/interrupt.h>
#include <avr/io.h>
#include <avr/sleep.h>
#include <avr/wdt.h>

#include "board.h"
#include "hal.h"
#include "stack.h"
#include "tick.h"
#include "uart.h"

/* A flood of bytes must not keep the rest from its turn. */
#define BYTES_A_ROUND 16

static void take_bytes(void) {
  uint8_t byte;
  for (uint8_t i = 0; i < BYTES_A_ROUND && uart_receive(&byte); i++) board_byte(byte);
}

/* Time for the next round of everything? */
static uint8_t due(uint8_t done) { return (uint8_t)(tick_low - done) >= BOARD_POLL_MS; }

/* Sleep until the next interrupt, unless one has brought work since we looked. */
static void rest(uint8_t done) {
  cli();
  if (!uart_waiting() && !board_busy() && !due(done)) {
    sleep_enable();
    sei();
    sleep_cpu();
    sleep_disable();
  }
  sei();
}

int main(void) {
  uint8_t done = 0;
  stack_mark();
  board_init();
  uart_start();
  tick_start();
  set_sleep_mode(SLEEP_MODE_IDLE);
  sei();
  for (;;) {
    take_bytes();
    board_bus();
    if (due(done)) {
      done = tick_low;
      board_poll();
      /* Fed only here: the timer interrupt has run, and so has every task, to its end. */
      if (!stack_overrun()) wdt_reset();
    }
    rest(done);
  }
}

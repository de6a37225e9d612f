#include "uart.h"

#include <avr/interrupt.h>
#include <avr/io.h>

#include "hal.h"
#include "parser.h"

/* 16 MHz / 8 / 35 = 57143 baud, 0.8 % below 57600. */
#define UBRR_57600 34

/* 256 bytes each, so that an index wraps by itself. One slot stays empty to tell full from empty. */
static volatile uint8_t rx[256];
static volatile uint8_t rx_in;
static volatile uint8_t rx_out;
static volatile uint16_t rx_lost;
static volatile uint8_t tx[256];
static volatile uint8_t tx_in;
static volatile uint8_t tx_out;

void uart_start(void) {
  UCSR0A = 1 << U2X0;
  UBRR0 = UBRR_57600;
  UCSR0C = 1 << UCSZ01 | 1 << UCSZ00;
  UCSR0B = 1 << RXCIE0 | 1 << RXEN0 | 1 << TXEN0;
}

static inline void put_rx(uint8_t byte) {
  rx[rx_in] = byte;
  rx_in++;
}

ISR(USART_RX_vect) {
  static uint8_t gap;
  uint8_t status = UCSR0A;
  uint8_t byte = UDR0;
  uint8_t room = (uint8_t)(rx_out - rx_in - 1);
  uint8_t bad_frame = status & (1 << FE0 | 1 << UPE0);
  if (bad_frame || (status & (1 << DOR0)) || !room) {
    if (rx_lost != 0xFFFF) rx_lost++;
    gap = 1;
  }
  /* The message in which bytes went missing must end there: what follows belongs to another. */
  if (gap && room) {
    put_rx(PARSER_GAP);
    room--;
    gap = 0;
  }
  if (bad_frame) return;
  if (room) put_rx(byte);
  /* An overrun lost what came after this byte; a full buffer, this byte. */
  gap = !room || (status & (1 << DOR0));
}

bool uart_waiting(void) { return rx_in != rx_out; }

bool uart_receive(uint8_t *byte) {
  if (rx_in == rx_out) return false;
  *byte = rx[rx_out];
  rx_out++;
  return true;
}

uint16_t hal_rx_lost(void) {
  uint8_t lock = hal_lock();
  uint16_t lost = rx_lost;
  hal_unlock(lock);
  return lost;
}

ISR(USART_UDRE_vect) {
  if (tx_in == tx_out) {
    UCSR0B &= (uint8_t) ~(1 << UDRIE0);
    return;
  }
  UDR0 = tx[tx_out];
  tx_out++;
}

uint8_t hal_tx_room(void) { return (uint8_t)(tx_out - tx_in - 1); }

void hal_tx(uint8_t byte) {
  tx[tx_in] = byte;
  tx_in++;
  uint8_t lock = hal_lock();
  UCSR0B |= 1 << UDRIE0;
  hal_unlock(lock);
}

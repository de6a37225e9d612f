/* What the portable parts ask of the board. Implemented in avr/, and by a fake in the tests. */
#ifndef HAL_H
#define HAL_H

#include <stdbool.h>
#include <stdint.h>

/* Milliseconds since the timer was started; wraps after 49.7 days. */
uint32_t hal_now_ms(void);

/* Keep the timer interrupt out; unlock with what lock gave. */
uint8_t hal_lock(void);
void hal_unlock(uint8_t state);

/* Drive the switch pins: bit 0 regulating, bit 1 guard. Safe from interrupt and main loop. */
void hal_switches(uint8_t closed);
/* The levels really on those pins. */
uint8_t hal_switches_measured(void);

/* True while the level switch is closed to ground: water present. */
bool hal_level_closed(void);

/* EEPROM: a write takes some ms; ready says whether another may be started. */
uint8_t hal_eeprom_read(uint16_t address);
bool hal_eeprom_ready(void);
void hal_eeprom_write(uint16_t address, uint8_t value);

/* UART send buffer: bytes free; put one (the caller has checked the room). */
uint8_t hal_tx_room(void);
void hal_tx(uint8_t byte);
/* Bytes lost by the receiver since reset. */
uint16_t hal_rx_lost(void);

/* 1-Wire. */
#define OW_NONE 0
#define OW_PRESENT 1
#define OW_SHORTED 2
uint8_t hal_ow_reset(void);
void hal_ow_write_bit(uint8_t bit);
uint8_t hal_ow_read_bit(void);

/* Sounder tone and activity LED. */
void hal_tone(bool on);
void hal_led(bool on);

/* Free pins, by Firmata number; the caller has checked that the pin is free. */
#define PIN_INPUT 0
#define PIN_OUTPUT 1
#define PIN_PULLUP 2
void hal_pin_mode(uint8_t pin, uint8_t mode);
void hal_pin_write(uint8_t pin, uint8_t level);
/* Levels of the eight pins of a Firmata port (0-2). */
uint8_t hal_port_read(uint8_t port);
void hal_adc_start(uint8_t channel);
/* True when the conversion is done; then *value is 0-1023. */
bool hal_adc_done(uint16_t *value);

/* 32 bits nobody can foresee; slow, for the first start only. */
uint32_t hal_noise(void);

/* Reset cause as in PROTOCOL.md section 6. */
uint8_t hal_reset_cause(void);

/* Storage that keeps its content through every reset but a power cut; garbage after one. */
uint8_t *hal_keepsake(void);
#define KEEPSAKE_BYTES 8

#endif

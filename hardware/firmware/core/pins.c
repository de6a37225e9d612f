#include "pins.h"

#include "hal.h"

/* What a pin may be. */
#define NONE 0
#define DIGITAL 1
#define ANALOG 2
#define LEVEL 3
#define BUS 4

static const uint8_t kind[PINS] = {
    NONE,   NONE,    BUS,     DIGITAL, LEVEL,   DIGITAL, DIGITAL, NONE,   NONE,   NONE,
    DIGITAL, DIGITAL, DIGITAL, NONE,    ANALOG, ANALOG,  ANALOG,  ANALOG, ANALOG, ANALOG,
};

static uint8_t modes[PINS];
static uint8_t written[PINS];

static uint8_t first_mode(uint8_t pin) {
  switch (kind[pin]) {
    case DIGITAL:
      return MODE_INPUT;
    case ANALOG:
      return MODE_ANALOG;
    case LEVEL:
      return MODE_PULLUP;
    case BUS:
      return MODE_ONE_WIRE;
    default:
      return MODE_IGNORE;
  }
}

static bool is_free(uint8_t pin) { return pin < PINS && (kind[pin] == DIGITAL || kind[pin] == ANALOG); }

void pins_init(void) {
  for (uint8_t pin = 0; pin < PINS; pin++) {
    modes[pin] = first_mode(pin);
    written[pin] = 0;
    if (is_free(pin)) hal_pin_mode(pin, PIN_INPUT);
  }
}

bool pin_allows(uint8_t pin, uint8_t mode) {
  if (pin >= PINS) return false;
  if (!is_free(pin)) return mode != MODE_IGNORE && mode == first_mode(pin);
  return mode == MODE_INPUT || mode == MODE_OUTPUT || mode == MODE_PULLUP ||
         (mode == MODE_ANALOG && kind[pin] == ANALOG);
}

void pin_set_mode(uint8_t pin, uint8_t mode) {
  if (!is_free(pin) || !pin_allows(pin, mode)) return;
  modes[pin] = mode;
  written[pin] = 0;
  hal_pin_mode(pin, mode == MODE_OUTPUT ? PIN_OUTPUT : mode == MODE_PULLUP ? PIN_PULLUP : PIN_INPUT);
}

uint8_t pin_mode(uint8_t pin) { return modes[pin]; }

uint8_t pin_state(uint8_t pin) { return modes[pin] == MODE_PULLUP ? 1 : written[pin]; }

void pin_write(uint8_t pin, uint8_t level) {
  if (!is_free(pin) || modes[pin] != MODE_OUTPUT) return;
  written[pin] = level ? 1 : 0;
  hal_pin_write(pin, written[pin]);
}

uint8_t port_inputs(uint8_t port) {
  uint8_t mask = 0;
  for (uint8_t bit = 0; bit < 8; bit++) {
    uint8_t pin = (uint8_t)(port * 8 + bit);
    if (pin < PINS && (modes[pin] == MODE_INPUT || modes[pin] == MODE_PULLUP)) mask |= (uint8_t)(1 << bit);
  }
  return hal_port_read(port) & mask;
}

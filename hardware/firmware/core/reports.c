#include "reports.h"

#include <stdbool.h>

#include "hal.h"
#include "pins.h"

#define DIGITAL_MESSAGE 0x90
#define ANALOG_MESSAGE 0xE0
#define INTERVAL_DEFAULT_MS 19
#define INTERVAL_MIN_MS 10

static uint8_t digital_on;             /* ports reported, one bit each */
static uint8_t digital_due;            /* ports to tell even without a change */
static uint8_t digital_told[PORTS];
static uint8_t analog_on;              /* channels reported, one bit each */
static uint8_t channel;                /* under way, ANALOG_CHANNELS = none */
static bool converting;
static uint16_t interval_ms;
static uint32_t sampled_ms;

void reports_init(void) {
  digital_on = 0;
  digital_due = 0;
  analog_on = 0;
  channel = ANALOG_CHANNELS;
  converting = false;
  interval_ms = INTERVAL_DEFAULT_MS;
}

void report_digital(uint8_t port, uint8_t on) {
  if (port >= PORTS) return;
  uint8_t bit = (uint8_t)(1 << port);
  digital_on &= (uint8_t)~bit;
  if (on) digital_on |= bit;
  digital_due = (uint8_t)((digital_due | bit) & digital_on);
}

void report_analog(uint8_t which, uint8_t on) {
  if (which >= ANALOG_CHANNELS) return;
  analog_on &= (uint8_t)~(1 << which);
  if (on) analog_on |= (uint8_t)(1 << which);
}

void report_interval(uint16_t ms) { interval_ms = ms < INTERVAL_MIN_MS ? INTERVAL_MIN_MS : ms; }

static void poll_digital(void) {
  for (uint8_t port = 0; port < PORTS; port++) {
    uint8_t bit = (uint8_t)(1 << port);
    if (!(digital_on & bit)) continue;
    uint8_t levels = port_inputs(port);
    if ((levels == digital_told[port] && !(digital_due & bit)) || hal_tx_room() < 3) continue;
    hal_tx((uint8_t)(DIGITAL_MESSAGE | port));
    hal_tx(levels & 0x7F);
    hal_tx(levels >> 7);
    digital_told[port] = levels;
    digital_due &= (uint8_t)~bit;
  }
}

static void next_channel(void) {
  while (++channel < ANALOG_CHANNELS) {
    if (!(analog_on & (1 << channel)) || pin_mode((uint8_t)(FIRST_ANALOG + channel)) != MODE_ANALOG) continue;
    hal_adc_start(channel);
    converting = true;
    return;
  }
}

static void poll_analog(uint32_t now_ms) {
  uint16_t value;
  if (converting) {
    if (!hal_adc_done(&value)) return;
    converting = false;
    if (hal_tx_room() >= 3) {
      hal_tx((uint8_t)(ANALOG_MESSAGE | channel));
      hal_tx((uint8_t)(value & 0x7F));
      hal_tx((uint8_t)(value >> 7));
    }
    next_channel();
  } else if (now_ms - sampled_ms >= interval_ms) {
    sampled_ms = now_ms;
    channel = 0xFF; /* so that the next is 0 */
    next_channel();
  }
}

void reports_poll(uint32_t now_ms) {
  if (digital_on) poll_digital();
  if (analog_on || converting) poll_analog(now_ms);
}

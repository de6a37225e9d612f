#include "firmata.h"

#include <string.h>

#include "config.h"
#include "hal.h"
#include "link.h"
#include "onewire_requests.h"
#include "pins.h"
#include "reports.h"

#define PROTOCOL_MAJOR 2
#define PROTOCOL_MINOR 6

#define DIGITAL_PORT 0x90
#define REPORT_ANALOG 0xC0
#define REPORT_DIGITAL 0xD0
#define ANALOG_WRITE 0xE0
#define SET_PIN_MODE 0xF4
#define SET_PIN 0xF5
#define VERSION 0xF9
#define SYSTEM_RESET 0xFF

#define ANALOG_MAPPING_QUERY 0x69
#define ANALOG_MAPPING_REPLY 0x6A
#define CAPABILITY_QUERY 0x6B
#define CAPABILITY_REPLY 0x6C
#define PIN_STATE_QUERY 0x6D
#define PIN_STATE_REPLY 0x6E
#define STRING 0x71
#define ONE_WIRE 0x73
#define FIRMWARE 0x79
#define SAMPLING_INTERVAL 0x7A

static void begin(uint8_t id) {
  hal_tx(0xF0);
  hal_tx(id);
}

static void send_text(const char *text) {
  for (; *text; text++) {
    hal_tx((uint8_t)*text & 0x7F);
    hal_tx(((uint8_t)*text >> 7) & 0x7F);
  }
  hal_tx(0xF7);
}

void firmata_string(const char *text) {
  if (hal_tx_room() < strlen(text) * 2 + 3) return;
  begin(STRING);
  send_text(text);
}

static void send_version(void) {
  if (hal_tx_room() < 3) return;
  hal_tx(VERSION);
  hal_tx(PROTOCOL_MAJOR);
  hal_tx(PROTOCOL_MINOR);
}

static void send_firmware(void) {
  if (hal_tx_room() < sizeof FIRMWARE_NAME * 2 + 5) return;
  begin(FIRMWARE);
  hal_tx(FIRMWARE_MAJOR);
  hal_tx(FIRMWARE_MINOR);
  send_text(FIRMWARE_NAME);
}

static void send_capabilities(void) {
  static const uint8_t modes[] = {MODE_INPUT, MODE_OUTPUT, MODE_PULLUP, MODE_ANALOG, MODE_ONE_WIRE};
  if (hal_tx_room() < 140) return;
  begin(CAPABILITY_REPLY);
  for (uint8_t pin = 0; pin < PINS; pin++) {
    for (uint8_t i = 0; i < sizeof modes; i++) {
      if (!pin_allows(pin, modes[i])) continue;
      hal_tx(modes[i]);
      hal_tx(modes[i] == MODE_ANALOG ? 10 : 1);
    }
    hal_tx(0x7F);
  }
  hal_tx(0xF7);
}

static void send_analog_mapping(void) {
  if (hal_tx_room() < PINS + 3) return;
  begin(ANALOG_MAPPING_REPLY);
  for (uint8_t pin = 0; pin < PINS; pin++) hal_tx(pin < FIRST_ANALOG ? 0x7F : (uint8_t)(pin - FIRST_ANALOG));
  hal_tx(0xF7);
}

static void send_pin_state(uint8_t pin) {
  if (pin >= PINS || hal_tx_room() < 6) return;
  begin(PIN_STATE_REPLY);
  hal_tx(pin);
  hal_tx(pin_mode(pin));
  hal_tx(pin_state(pin));
  hal_tx(0xF7);
}

void firmata_init(void) {
  pins_init();
  reports_init();
  send_version();
  send_firmware();
}

uint8_t firmata_data_bytes(uint8_t command) {
  switch (command < 0xF0 ? command & 0xF0 : command) {
    case DIGITAL_PORT:
    case ANALOG_WRITE:
    case SET_PIN_MODE:
    case SET_PIN:
      return 2;
    case REPORT_ANALOG:
    case REPORT_DIGITAL:
      return 1;
    default:
      return 0;
  }
}

static void write_port(uint8_t port, uint8_t levels) {
  for (uint8_t bit = 0; bit < 8; bit++) pin_write((uint8_t)(port * 8 + bit), (levels >> bit) & 1);
}

void firmata_command(uint8_t command, const uint8_t *data) {
  uint8_t low = command & 0x0F;
  switch (command < 0xF0 ? command & 0xF0 : command) {
    case DIGITAL_PORT:
      write_port(low, (uint8_t)(data[0] | data[1] << 7));
      break;
    case SET_PIN_MODE:
      pin_set_mode(data[0], data[1]);
      break;
    case SET_PIN:
      pin_write(data[0], data[1]);
      break;
    case REPORT_ANALOG:
      report_analog(low, data[0]);
      break;
    case REPORT_DIGITAL:
      report_digital(low, data[0]);
      break;
    case VERSION:
      send_version();
      break;
    case SYSTEM_RESET:
      link_end();
      requests_init();
      pins_init();
      reports_init();
      break;
  }
}

void firmata_sysex(uint8_t id, uint8_t *data, uint8_t count) {
  switch (id) {
    case FIRMWARE:
      send_firmware();
      break;
    case CAPABILITY_QUERY:
      send_capabilities();
      break;
    case ANALOG_MAPPING_QUERY:
      send_analog_mapping();
      break;
    case PIN_STATE_QUERY:
      if (count >= 1) send_pin_state(data[0]);
      break;
    case SAMPLING_INTERVAL:
      if (count >= 2) report_interval((uint16_t)(data[0] | data[1] << 7));
      break;
    case ONE_WIRE:
      requests_take(data, count);
      break;
  }
}

void firmata_poll(uint32_t now_ms) { reports_poll(now_ms); }

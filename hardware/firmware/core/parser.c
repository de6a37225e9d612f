#include "parser.h"

#include <stdbool.h>

#include "config.h"
#include "firmata.h"
#include "messages.h"

#define SYSEX_START 0xF0
#define SYSEX_END 0xF7

static uint8_t buffer[SYSEX_MAX];
static uint8_t length;
static uint8_t command; /* the message under way; 0 = none */
static uint8_t wanted;  /* data bytes it needs */
static bool in_sysex;
static bool too_long;

void parser_init(void) {
  command = 0;
  in_sysex = false;
}

static void end_sysex(void) {
  in_sysex = false;
  if (too_long || !length) return;
  uint8_t id = buffer[0];
  if (id && id <= ID_LAST) {
    messages_take(id, buffer + 1, (uint8_t)(length - 1));
  } else {
    firmata_sysex(id, buffer + 1, (uint8_t)(length - 1));
  }
}

static void take_status_byte(uint8_t byte) {
  command = 0;
  if (byte == SYSEX_END && in_sysex) {
    end_sysex();
    return;
  }
  in_sysex = byte == SYSEX_START;
  too_long = false;
  length = 0;
  if (in_sysex) return;
  wanted = firmata_data_bytes(byte);
  command = wanted ? byte : 0;
  if (!wanted) firmata_command(byte, buffer);
}

void parser_byte(uint8_t byte) {
  if (byte >= 0x80) {
    take_status_byte(byte);
  } else if (in_sysex) {
    if (length == SYSEX_MAX) {
      too_long = true;
    } else {
      buffer[length++] = byte;
    }
  } else if (command) {
    buffer[length++] = byte;
    if (length == wanted) {
      uint8_t done = command;
      command = 0;
      firmata_command(done, buffer);
    }
  }
}

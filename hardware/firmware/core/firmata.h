/* The open Firmata protocol, as far as a host library needs it to read and move the free pins. */
#ifndef FIRMATA_H
#define FIRMATA_H

#include <stdint.h>

void firmata_init(void);
/* Data bytes that follow a command byte (not system-exclusive); 0 for none or unknown. */
uint8_t firmata_data_bytes(uint8_t command);
void firmata_command(uint8_t command, const uint8_t *data);
/* A system-exclusive message that is not ours; the content may be overwritten. */
void firmata_sysex(uint8_t id, uint8_t *data, uint8_t count);
/* Report pins that changed or are due. */
void firmata_poll(uint32_t now_ms);
/* Say something in words. Dropped when the send buffer has no room. */
void firmata_string(const char *text);

#endif

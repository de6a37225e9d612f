/* Send one message of ours: open, put the body, close. */
#ifndef FRAME_H
#define FRAME_H

#include <stdbool.h>
#include <stdint.h>

/* Begin a frame of that id and body length; false (and nothing sent) when it does not fit the send buffer. */
bool frame_open(uint8_t id, uint8_t body_bytes);
void frame8(uint8_t value);
void frame16(uint16_t value);
void frame32(uint32_t value);
void frame_bytes(const uint8_t *bytes, uint8_t count);
/* Append the CRC and end the frame. */
void frame_close(void);

#endif

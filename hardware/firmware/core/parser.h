/* The byte stream from the host, cut into Firmata messages. */
#ifndef PARSER_H
#define PARSER_H

#include <stdint.h>

/* An undefined status byte, ignored, that ends any message: the receiver puts it where bytes were lost. */
#define PARSER_GAP 0xFD

void parser_init(void);
void parser_byte(uint8_t byte);

#endif

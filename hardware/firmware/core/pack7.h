/* Bytes through a 7-bit line: one little-endian bit stream cut into groups of seven. */
#ifndef PACK7_H
#define PACK7_H

#include <stdbool.h>
#include <stdint.h>

/* Undo the packing in place. Gives the number of whole bytes, or -1 when the fill bits are not zero. */
int16_t unpack7(uint8_t *bytes, uint8_t packed);

/* Packed length of so many bytes. */
static inline uint16_t packed_length(uint8_t bytes) { return (uint16_t)((8u * bytes + 6u) / 7u); }

/* Pack a stream of bytes straight into the send buffer. */
void pack7_start(void);
void pack7_put(uint8_t byte);
void pack7_end(void);

#endif

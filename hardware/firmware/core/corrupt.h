/* Leases that arrive with a bad CRC, in a leaking bucket: now and then is noise, often is a broken link. */
#ifndef CORRUPT_H
#define CORRUPT_H

#include <stdbool.h>
#include <stdint.h>

void corrupt_init(void);
/* Any frame of ours failed its CRC or length; lease: it was one. */
void corrupt_add(bool lease);
void corrupt_poll(uint32_t now_ms);
bool corrupt_full(void);
/* All bad frames since reset, stays at 65535. */
uint16_t corrupt_count(void);

#endif

/* A record that is rewritten now and then, spread over many EEPROM slots so that none wears out early, and
   such that a write cut off by a power failure is noticed. Record: number (u16), payload, CRC-16. */
#ifndef RING_H
#define RING_H

#include <stdbool.h>
#include <stdint.h>

#define RECORD_MAX 12

typedef struct {
  uint16_t base;
  uint8_t slots;
  uint8_t payload; /* bytes */
  /* State. */
  uint8_t at; /* slot of the latest record */
  uint16_t number;
  bool any;  /* a record was found or written */
  bool torn; /* the slot after the latest was being written when power went */
} ring_t;

/* Look for the latest record; copies its payload when there is one. */
void ring_scan(ring_t *ring, uint8_t *payload);

/* One writer serves all rings. Start a write (only while not busy), poll it to its end. */
void ring_write(ring_t *ring, const uint8_t *payload);
/* Do the next small step when the EEPROM is ready. */
void ring_poll(void);
bool ring_busy(void);
/* True once a record could not be made to read back from any slot tried. */
bool ring_failed(void);

#endif

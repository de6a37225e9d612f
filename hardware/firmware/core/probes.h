/* The devices known on the 1-Wire bus. */
#ifndef PROBES_H
#define PROBES_H

#include <stdbool.h>
#include <stdint.h>

typedef struct {
  uint8_t rom[8];
  int16_t last_raw; /* last good reading, NO_RAW = none */
  uint8_t missed;   /* sweeps in a row that did not find it */
  bool seen;        /* by the sweep under way */
} probe_t;

void probes_init(void);
uint8_t probes_count(void);
probe_t *probe_at(uint8_t index);
/* The search found this ROM. */
void probes_found(const uint8_t *rom);
/* A sweep is over: forget what two sweeps in a row did not find, save the bath probe. */
void probes_swept(void);
/* Have the bath probe in the table, found or not. */
void probes_keep_bath(void);
bool probe_is_bath(const probe_t *probe);

#endif
